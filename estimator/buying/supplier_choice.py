"""Where an order is bought: the suppliers chosen by the shop's rule, and how good the choice is."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, partial

from estimator.buying.board_plan import Planner, cheapest_boards, nicest_boards, plan_boards
from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.board_search import BoardSearch
from estimator.buying.market import Market
from estimator.buying.offers import ON_HAND
from estimator.buying.purchase import Purchase
from estimator.buying.shopping import (
    Names,
    Need,
    boards_in,
    buy_need,
    consumables_of,
    goes_by_boards,
    needs_of,
    price_rows_of,
    sellers_of,
    title_of,
    without_other_prices,
)
from estimator.buying.suppliers import cheapest_trip, lacking, one_stop
from estimator.buying.trips import Bought, Chosen, OneMore, Terms, Trip, Want
from estimator.errors import Findings
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import TakeOff

MOST_NAMED = 4  # things that a supplier lacks, in a message


@dataclass(frozen=True, kw_only=True, slots=True)
class FewerSuppliers:
    """The best way to buy with one supplier fewer, and what it costs more; below 0 it would save."""

    names: tuple[str, ...]
    costs_more: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class AnotherSupplier:
    """Whom to visit as well at the least cost: how much more that is for visits and minimum orders, less for goods."""

    name: str
    beside_more: Decimal
    goods_less: Decimal

    @property
    def costs_more(self) -> Decimal:
        """How much more everything would cost; below 0 it would save."""
        return self.beside_more - self.goods_less


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierPlan:
    """Who is visited, and by how much a cheaper way to buy may be missed at the most, by the shop's rule.

    What follows from the plans, such as spare boards, is left aside in `gap`. `top_ups` are paid to reach minimum
    orders. `asking` is how many of those visited take something beside their prices; `fewer` is None where it cannot
    be one less. `unvisited` is how many others there are; `more` is None where a visit to one makes nothing cheaper.
    """

    rule: str
    names: tuple[str, ...]
    top_ups: dict[str, Decimal]
    gap: Decimal
    asking: int
    fewer: FewerSuppliers | None
    unvisited: int = 0
    more: AnotherSupplier | None = None

    @property
    def proved(self) -> bool:
        """Whether no cheaper way exists."""
        return not self.gap


@dataclass(frozen=True, kw_only=True, slots=True)
class BoughtWhere:
    """All purchases of an order, and where they are made."""

    purchases: tuple[Purchase, ...]
    plan: SupplierPlan


def buy_where_it_pays(order: Order, takeoff: TakeOff, findings: Findings) -> BoughtWhere | None:
    """Return the purchases from the suppliers that the shop's rule chooses.

    None where there is nothing to choose among, or where not all can be bought at all: then everything is bought from
    whoever is cheapest, and what is missing is told there.
    """
    listed = (*needs_of(takeoff), *consumables_of(order, takeoff, boards=1))
    if not _is_choice(listed, order):
        return None
    shopper = _Shopper(without_other_prices(order, listed), takeoff, listed)
    market = shopper.market
    if market.trip(market.sellers) is None:
        return None
    chosen = one_stop(market) if order.shop.supplier_choice.choose == "one stop" else cheapest_trip(market)
    if chosen is None:
        _report_no_single_supplier(market, shopper, findings)
        return None
    return shopper.result(chosen, findings)


def _is_choice(needs: Sequence[Need], order: Order) -> bool:
    """Whether it matters who is visited for this order."""
    if not order.is_choosing_suppliers or order.shop.supplier_choice.choose != "cheapest":
        return order.is_choosing_suppliers
    asking = {name_key(one.name) for one in order.prices.suppliers if one.visit_cost or one.minimum_order}
    return any(asking & sellers_of(need, order) for need in needs)


class _Shopper:
    """The needs of one order as wants of a market; while it is looked around, plans need not be the nicest."""

    def __init__(self, order: Order, takeoff: TakeOff, listed: Sequence[Need]) -> None:
        self.order = order
        self.takeoff = takeoff
        early = [need for need in listed if not goes_by_boards(need, order)]
        # Boards last: they take longest, and many a set is ruled out by then.
        self.needs = sorted(early, key=lambda need: isinstance(need, LumberNeed))
        self.searches = [BoardSearch() for _ in self.needs]
        terms = {
            name_key(one.name): Terms(visit_cost=one.visit_cost, minimum_order=one.minimum_order)
            for one in order.prices.suppliers
        }
        rows = (row for need in listed for row in price_rows_of(need, order))
        self.names: dict[str, str] = {}
        for row in rows:
            self.names.setdefault(name_key(row.supplier), row.seller.name if row.seller else row.supplier)
        self.market = Market(
            [self._want(place) for place in range(len(self.needs))],
            terms,
            self._late,
            leaves_aside=self._leaves_aside(listed),
        )

    def result(self, chosen: Chosen, findings: Findings) -> BoughtWhere:
        """Return the purchases of the chosen trip with the nicest plans for them, and what there is to say of it."""
        market, trip = self.market, self._nicest(chosen.trip, findings)
        asking = {name for name in market.sellers if name in market.terms and not market.terms[name].is_free}
        return BoughtWhere(
            purchases=tuple(one.purchase for one in trip.bought),
            plan=SupplierPlan(
                rule=self.order.shop.supplier_choice.choose,
                names=self._named(trip.visited),
                top_ups=dict(trip.top_ups),
                gap=max(Decimal(0), trip.total - trip.aside - chosen.bound),
                asking=len(asking & trip.visited),
                fewer=self._fewer(chosen.fewer, trip) if chosen.fewer else None,
                unvisited=len(asking - trip.visited),
                more=self._more(chosen.more, trip) if chosen.more else None,
            ),
        )

    def _fewer(self, fewer: Trip, trip: Trip) -> FewerSuppliers:
        return FewerSuppliers(names=self._named(fewer.visited), costs_more=fewer.total - trip.total)

    def _more(self, more: OneMore, trip: Trip) -> AnotherSupplier:
        return AnotherSupplier(
            name=self.names[more.name],
            beside_more=more.beside - trip.beside,
            goods_less=trip.goods - more.trip.goods,
        )

    def _nicest(self, trip: Trip, findings: Findings) -> Trip:
        """Return the trip with plans by the shop's preferences, unless those were to cost more.

        Each need is bought from whom it is bought in the trip: elsewhere it may be cheaper, but a minimum order missed.
        """
        found = [
            self._buy(need, frozenset(one.spent) or trip.visited, findings, partial(nicest_boards, search))
            for need, one, search in zip(
                self.needs, trip.bought, self.searches, strict=False
            )  # what is late is left out
        ]
        bought = [one for one in found if one is not None]
        late = self._late(trip.visited, bought)
        if len(bought) < len(found) or late is None:
            return trip
        nicest = self.market.trip_of((*bought, *late))
        return nicest if nicest.total <= trip.total else trip

    def _leaves_aside(self, listed: Sequence[Need]) -> bool:
        """Whether spare boards or what goes by the boards may be bought beside the plans."""
        saw = self.order.shop.saw
        has_spares = bool(saw.spare_boards_percent or saw.spare_boards_at_least)
        return has_spares or any(goes_by_boards(need, self.order) for need in listed)

    def _want(self, place: int) -> Want:
        need, planner = self.needs[place], partial(cheapest_boards, self.searches[place])
        sellers = sellers_of(need, self.order)
        buy = cache(lambda names: self._buy(need, names, Findings(), planner))
        preferred = frozenset([name_key(self.order.shop.supplier_choice.preferred)])
        if preferred <= sellers and buy(preferred):
            sellers = preferred
        return Want(title=title_of(need, self.order), sellers=sellers, buy=buy)

    def _buy(self, need: Need, names: Names, findings: Findings, planner: Planner = plan_boards) -> Bought | None:
        faults_before = len(findings.faults)
        purchase = buy_need(need, self.order, findings, names, planner)
        return None if purchase is None or len(findings.faults) > faults_before else bought_of(purchase)

    def _late(self, open_to: Names, bought: Sequence[Bought]) -> tuple[Bought, ...] | None:
        """Return the consumables that go by the boards bought; they follow from the plans and are in no bound."""
        boards = boards_in([one.purchase for one in bought])
        needs = [need for need in consumables_of(self.order, self.takeoff, boards) if goes_by_boards(need, self.order)]
        found = [self._buy(need, open_to, Findings()) for need in needs]
        late = [replace(one, bound=Decimal(0), aside=one.amount) for one in found if one is not None]
        return tuple(late) if len(late) == len(found) else None

    def _named(self, keys: Names) -> tuple[str, ...]:
        return tuple(sorted(self.names[key] for key in keys))


def bought_of(purchase: Purchase) -> Bought:
    """Return a purchase with the money for each supplier and a bound, which only boards have below their cost.

    Packs and cans are the cheapest before their lines are rounded; to that rounding their cost is a bound.
    """
    spent: dict[str, Decimal] = {}
    for line in purchase.lines:
        if line.row.supplier != ON_HAND:
            name = name_key(line.row.supplier)
            spent[name] = spent.get(name, Decimal(0)) + line.amount
    if isinstance(purchase, BoardPurchase):
        spares = purchase.spares.amount if purchase.spares else Decimal(0)
        return Bought(purchase=purchase, spent=spent, bound=purchase.bound, aside=spares)
    return Bought(purchase=purchase, spent=spent, bound=purchase.amount)


def _report_no_single_supplier(market: Market, shopper: _Shopper, findings: Findings) -> None:
    lacks = [f"{shopper.names[name]} lacks {_some_of(titles)}" for name, titles in lacking(market).items()]
    findings.fault(
        shopper.order.shop.supplier_choice.origin,
        f'nobody sells everything for this order: {", ".join(lacks)}; choose "cheapest", or "prefer" and a supplier',
        "choose",
    )


def _some_of(titles: Sequence[str]) -> str:
    more = len(titles) - MOST_NAMED
    return ", ".join(f'"{title}"' for title in titles[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
