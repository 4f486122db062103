"""Ways to split a need among suppliers, so that more money is left with one whose minimum order is to be reached.

Up to its minimum a supplier is paid in any case, so its goods count for less than their prices; by how much is found
from the purchases themselves. Between the cheapest purchase and one that leaves most with that supplier, the next is
the cheapest at the weight of its prices at which those two are worth the same, and so on between it and either: all
purchases that are best at some weight are found so (the usual search for two aims at a time, from memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Protocol, TypeVar

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.offers import ON_HAND, Offer, board_price
from estimator.buying.purchase import BuyLine, Purchase, unit_price
from estimator.buying.trips import NOTHING, Bought
from estimator.money import Currency
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice, PriceRow

MOST_SPLITS = 4  # purchases tried for a need and a supplier
LEAST_WEIGHT = Decimal("0.05")  # of prices, so that no board costs nothing
FINEST_WEIGHT = Decimal("0.0001")

Row = TypeVar("Row", bound=PriceRow)
Split = TypeVar("Split", bound=Purchase)


def between(less: Bought, more: Bought, name: str, at: Callable[[Decimal], Bought | None]) -> list[Bought]:
    """Return purchases that leave more money with a supplier than one does and cost less than another.

    `at` buys where the supplier's prices count at a weight.
    """
    found: list[Bought] = []
    waiting = [(less, more)]
    for _ in range(MOST_SPLITS):
        if not waiting:
            break
        low, high = waiting.pop(0)
        weight = _weight_between(low, high, name)
        one = None if weight is None else at(weight)
        if one is not None and low.spent.get(name, NOTHING) < one.spent.get(name, NOTHING) < high.spent[name]:
            found.append(one)
            waiting += [(low, one), (one, high)]
    return found


def _weight_between(low: Bought, high: Bought, name: str) -> Decimal | None:
    """Return the weight of a supplier's prices at which two purchases are worth the same, None where one is better."""
    dearer, left = high.amount - low.amount, high.spent.get(name, NOTHING) - low.spent.get(name, NOTHING)
    if dearer <= 0 or left <= 0:
        return None
    return max(LEAST_WEIGHT, (1 - dearer / left).quantize(FINEST_WEIGHT))


def weighed(order: Order, name: str, weight: Decimal) -> Order:
    """Return an order in which the prices of a supplier count at a weight."""

    def rows_of(rows: tuple[Row, ...], /) -> tuple[Row, ...]:
        return tuple(replace(row, price=row.price * weight) if name_key(row.supplier) == name else row for row in rows)

    return _with_rows(order, rows_of)


def at_true_prices(purchase: Split, true_rows: Sequence[PriceRow], currency: Currency) -> Split | None:
    """Return what was bought at weighed prices as it is paid, given the true price rows; None where it has spares.

    Those follow from the prices. For boards no more is said of what they cost at least, nor of what nesting saves.
    """
    rows = {(row.origin, name_key(row.supplier), row.item_key, row.from_quantity): row for row in true_rows}

    def true_row(row: PriceRow) -> PriceRow:
        return rows[row.origin, name_key(row.supplier), row.item_key, row.from_quantity]

    def paid(line: BuyLine) -> BuyLine:
        row = true_row(line.row)
        if isinstance(row, LumberPrice) and row.length_in is not None:
            each = board_price(row, currency)
            return replace(line, row=row, unit_price=each, amount=line.quantity * each)
        amount = currency.rounded(Fraction(line.quantity) * row.net_price)
        return replace(line, row=row, unit_price=unit_price(row, currency), amount=amount)

    def offer_of(offer: Offer) -> Offer:
        row = None if offer.on_hand else true_row(offer.row)
        return replace(offer, row=row, unit_price=board_price(row, currency)) if isinstance(row, LumberPrice) else offer

    lines = tuple(line if line.row.supplier == ON_HAND else paid(line) for line in purchase.lines)
    if not isinstance(purchase, BoardPurchase):
        return replace(purchase, lines=lines)
    if purchase.spares:
        return None
    amount = sum((line.amount for line in lines), NOTHING)
    return replace(
        purchase,
        lines=lines,
        layouts=tuple(replace(one, offer=offer_of(one.offer)) for one in purchase.layouts),
        surplus=tuple(replace(one, offer=offer_of(one.offer)) for one in purchase.surplus),
        bound=NOTHING,
        unnested_amount=amount,
    )


class _Change(Protocol):
    """A change of the rows of any price table."""

    def __call__(self, rows: tuple[Row, ...], /) -> tuple[Row, ...]: ...


def _with_rows(order: Order, change: _Change) -> Order:
    prices = order.prices
    return replace(
        order,
        prices=replace(
            prices,
            lumber=change(prices.lumber),
            hardware=change(prices.hardware),
            finishes=change(prices.finishes),
            consumables=change(prices.consumables),
        ),
    )
