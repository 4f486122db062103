"""The cost of each build, the price to ask, and the quote the client gets."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from estimator.buying.delivery import DELIVERY
from estimator.costing.bill import BillLine
from estimator.costing.labour import LabourLine, minutes_of
from estimator.money import up_to_step
from estimator.reading.build import Build
from estimator.reading.order import Order
from estimator.reading.shop import KINDS, Shop
from estimator.standards.pricing import margin_from_markup, markup_from_margin, price_from_margin, price_from_markup

COST_KINDS = (*KINDS, "labour", "overhead")
KINDS_WITH_DELIVERY = (*KINDS, DELIVERY, "labour", "overhead")


@dataclass(frozen=True, kw_only=True, slots=True)
class BuildCost:
    """What all units of one build cost, by kind, and the price of one.

    Unit cost = cost / units; unit price = unit cost with the shop's profit, rounded up to the shop's step. Each of
    the steps is rounded to the cent, as it is printed.
    """

    build: Build
    quantity: int
    by_kind: dict[str, Decimal]
    labour_setup: Decimal
    minutes: Decimal
    cost: Decimal
    unit_cost: Decimal
    price_before_rounding: Decimal
    unit_price: Decimal

    @property
    def amount(self) -> Decimal:
        """The price of all units."""
        return self.quantity * self.unit_price


@dataclass(frozen=True, kw_only=True, slots=True)
class Quote:
    """What the client is asked for, and what the shop keeps of it."""

    costs: tuple[BuildCost, ...]
    cost: Decimal
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal
    day: date
    valid_until: date
    margin: Decimal
    markup: Decimal
    planned_margin: Decimal
    planned_markup: Decimal

    @property
    def profit(self) -> Decimal:
        """What is left of the price before tax."""
        return self.subtotal - self.cost


def make_quote(order: Order, bill: tuple[BillLine, ...], labour: tuple[LabourLine, ...]) -> Quote:
    """Return the quote for an order from its bill of materials and its labour."""
    costs = tuple(_build_cost(order, place, bill, labour) for place in range(len(order.items)))
    subtotal = sum((cost.amount for cost in costs), Decimal(0))
    total_cost = sum((cost.cost for cost in costs), Decimal(0))
    tax = _tax(order.shop, costs, subtotal)
    currency = order.shop.currency
    margin, markup = planned_profit(order.shop)
    return Quote(
        costs=costs,
        cost=total_cost,
        subtotal=subtotal,
        tax=tax,
        total=subtotal + tax,
        deposit=currency.rounded((subtotal + tax) * order.shop.deposit_percent / 100),
        day=order.day,
        valid_until=order.day + timedelta(days=order.shop.valid_days),
        margin=(subtotal - total_cost) / subtotal if subtotal else Decimal(0),
        markup=(subtotal - total_cost) / total_cost if total_cost else Decimal(0),
        planned_margin=margin,
        planned_markup=markup,
    )


def kinds_of(costs: Iterable[BuildCost]) -> tuple[str, ...]:
    """Return the kinds of cost there are, in their order: delivery only where something is paid for it."""
    return KINDS_WITH_DELIVERY if any(DELIVERY in cost.by_kind for cost in costs) else COST_KINDS


def planned_profit(shop: Shop) -> tuple[Decimal, Decimal]:
    """Return the shop's profit as a margin on the price and as a markup on the cost, both as shares."""
    if shop.profit.margin_percent is not None:
        margin = shop.profit.margin_percent / 100
        return margin, markup_from_margin(margin)
    markup = (shop.profit.markup_percent or Decimal(0)) / 100
    return margin_from_markup(markup), markup


def asked_price(unit_cost: Decimal, shop: Shop) -> Decimal:
    """Return the price of one before it is rounded up: cost / (1 - margin), or cost x (1 + markup)."""
    if shop.profit.margin_percent is not None:
        return shop.currency.rounded(price_from_margin(unit_cost, shop.profit.margin_percent / 100))
    return shop.currency.rounded(price_from_markup(unit_cost, (shop.profit.markup_percent or Decimal(0)) / 100))


def overhead_of(labour: Decimal, minutes: Decimal, shop: Shop) -> Decimal:
    """Return the overhead that labour bears: a share of its cost, or an amount for each hour."""
    if shop.overhead.percent_of_labour is not None:
        return shop.currency.rounded(labour * shop.overhead.percent_of_labour / 100)
    return shop.currency.rounded(minutes * (shop.overhead.per_labour_hour or Decimal(0)) / 60)


def _build_cost(order: Order, place: int, bill: tuple[BillLine, ...], labour: tuple[LabourLine, ...]) -> BuildCost:
    item, shop = order.items[place], order.shop
    kinds = (*KINDS, DELIVERY) if any(line.kind == DELIVERY for line in bill) else KINDS
    by_kind = {kind: _sum(line.by_build[place] for line in bill if line.kind == kind) for kind in kinds}
    by_kind["labour"] = _sum(line.by_build[place] for line in labour)
    minutes = minutes_of(labour, place)
    by_kind["overhead"] = overhead_of(by_kind["labour"], minutes, shop)
    cost = _sum(by_kind.values())
    unit_cost = shop.currency.rounded(cost / item.quantity)
    before_rounding = asked_price(unit_cost, shop)
    return BuildCost(
        build=item.build,
        quantity=item.quantity,
        by_kind=by_kind,
        labour_setup=shop.currency.rounded(_sum(line.setup_amount * line.shares[place] for line in labour)),
        minutes=minutes,
        cost=cost,
        unit_cost=unit_cost,
        price_before_rounding=before_rounding,
        unit_price=shop.currency.rounded(up_to_step(before_rounding, shop.round_up_to)),
    )


def _tax(shop: Shop, costs: tuple[BuildCost, ...], subtotal: Decimal) -> Decimal:
    """Return the tax, rounded half up on the invoice or on each line, as the shop's settings say."""
    share, currency = shop.tax.percent / 100, shop.currency
    if shop.tax.rounded_per == "line":
        return _sum(currency.rounded(cost.amount * share) for cost in costs)
    return currency.rounded(subtotal * share)


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, Decimal(0))
