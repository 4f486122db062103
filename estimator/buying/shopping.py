"""What is bought for one need, from whichever suppliers are open, and what an order needs in all."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from estimator.buying.board_plan import Planner, plan_boards
from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.can_offers import rows_of
from estimator.buying.cans import buy_auxiliary, buy_finish, mixture_of
from estimator.buying.lumber import buy_lumber, rows_of_wood, rows_sold
from estimator.buying.packed import (
    buy_consumable,
    buy_hardware,
    rows_of_consumable,
    rows_of_hardware,
    with_shop_uses,
)
from estimator.buying.purchase import Purchase
from estimator.errors import Findings
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.reading.sold import PriceRow
from estimator.takeoff.auxiliaries import AuxiliaryNeed, auxiliary_needs
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.hardware import HardwareNeed, hardware_key
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import TakeOff
from estimator.takeoff.work import ConsumableNeed

Need = LumberNeed | HardwareNeed | FinishNeed | AuxiliaryNeed | ConsumableNeed
Names = frozenset[str]


def needs_of(takeoff: TakeOff) -> tuple[Need, ...]:
    """Return what an order needs, in the order of the buy sheet, without consumables."""
    needs = takeoff.order
    return (*needs.lumber, *needs.hardware, *needs.finish, *auxiliary_needs(needs.finish))


def consumables_of(order: Order, takeoff: TakeOff, boards: int) -> tuple[ConsumableNeed, ...]:
    """Return the consumables of an order for which so many boards are bought."""
    counts = {**takeoff.order.counts, "board": Decimal(boards)}
    return with_shop_uses(takeoff.order.consumables, order.shop.consumables, counts)


def goes_by_boards(need: Need, order: Order) -> bool:
    """Whether the shop uses some of a consumable for each board, so that the need is known once those are bought."""
    if not isinstance(need, ConsumableNeed):
        return False
    uses = (use for use in order.shop.consumables if use.per == "board")
    return any(name_key(use.item) == name_key(need.item) for use in uses)


def boards_in(purchases: Sequence[Purchase]) -> int:
    """Return how many boards are among the purchases."""
    return sum(one.boards for one in purchases if isinstance(one, BoardPurchase))


def buy_need(
    need: Need,
    order: Order,
    findings: Findings,
    open_to: Names | None = None,
    planner: Planner = plan_boards,
) -> Purchase | None:
    """Return the cheapest way to meet a need, or None with a fault where it cannot be met.

    With `open_to` only from those suppliers; boards on hand are always there.
    """
    if isinstance(need, LumberNeed):
        return buy_lumber(need, order, findings, open_to, planner)
    order = order if open_to is None else _open(order, open_to)
    match need:
        case HardwareNeed():
            return buy_hardware(need, order, findings)
        case FinishNeed():
            return buy_finish(need, order, findings)
        case AuxiliaryNeed():
            return buy_auxiliary(need, order, findings)
        case ConsumableNeed():
            return buy_consumable(need, order, findings)


def title_of(need: Need, order: Order) -> str:
    """Return what a need is called in a message."""
    match need:
        case LumberNeed():
            return need.title
        case HardwareNeed():
            return need.title(order.shop.unit)
        case ConsumableNeed():
            return need.item
        case _:
            return need.product


def price_rows_of(need: Need, order: Order) -> tuple[PriceRow, ...]:
    """Return the price rows that a need can be met from."""
    match need:
        case LumberNeed():
            return rows_sold(rows_of_wood(need, order))
        case HardwareNeed():
            return tuple(rows_of_hardware(need, order))
        case ConsumableNeed():
            return tuple(rows_of_consumable(need, order))
        case _:
            return tuple(row for product in products_of(need) for row in rows_of(product, order))


def products_of(need: FinishNeed | AuxiliaryNeed) -> tuple[str, ...]:
    """Return what is bought for a need of finish: the product, and its hardener where it has one."""
    mixture = mixture_of(need) if isinstance(need, FinishNeed) else None
    return (need.product, mixture.hardener) if mixture else (need.product,)


def sellers_of(need: Need, order: Order) -> Names:
    """Return who sells something that serves a need."""
    return frozenset(name_key(row.supplier) for row in price_rows_of(need, order))


def without_other_prices(order: Order, needs: Sequence[Need]) -> Order:
    """Return an order with only the price rows that its needs can be met from: they are read over and over."""
    named = _with_names_of(needs, order)
    wanted = {id(row) for need in needs for row in _all_rows_of(need, named)}
    prices = named.prices
    return replace(
        order,
        prices=replace(
            prices,
            lumber=tuple(row for row in prices.lumber if id(row) in wanted),
            hardware=tuple(row for row in prices.hardware if id(row) in wanted),
            finishes=tuple(row for row in prices.finishes if id(row) in wanted),
            consumables=tuple(row for row in prices.consumables if id(row) in wanted),
        ),
    )


def _all_rows_of(need: Need, order: Order) -> tuple[PriceRow, ...]:
    return rows_of_wood(need, order) if isinstance(need, LumberNeed) else price_rows_of(need, order)


def _with_names_of(needs: Sequence[Need], order: Order) -> Order:
    """Return an order with the prices of goods that some need names: a long table is then gone through only once."""
    woods = {name_key(need.species) for need in needs if isinstance(need, LumberNeed)}
    pieces = {need.key for need in needs if isinstance(need, HardwareNeed)}
    items = {name_key(need.item) for need in needs if isinstance(need, ConsumableNeed)}
    finishes = (need for need in needs if isinstance(need, FinishNeed | AuxiliaryNeed))
    products = {name_key(product) for need in finishes for product in products_of(need)}
    prices = order.prices
    return replace(
        order,
        prices=replace(
            prices,
            lumber=tuple(row for row in prices.lumber if name_key(row.species) in woods),
            hardware=tuple(
                row
                for row in prices.hardware
                if hardware_key(row.kind, row.size, row.length_in, row.material) in pieces
            ),
            finishes=tuple(row for row in prices.finishes if name_key(row.product) in products),
            consumables=tuple(row for row in prices.consumables if name_key(row.item) in items),
        ),
    )


def _open(order: Order, open_to: Names) -> Order:
    """Return an order with the prices of some suppliers alone, those of lumber aside."""
    prices = order.prices
    return replace(
        order,
        prices=replace(
            prices,
            hardware=tuple(row for row in prices.hardware if name_key(row.supplier) in open_to),
            finishes=tuple(row for row in prices.finishes if name_key(row.supplier) in open_to),
            consumables=tuple(row for row in prices.consumables if name_key(row.supplier) in open_to),
        ),
    )
