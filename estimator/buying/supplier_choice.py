"""Where an order is bought: the suppliers chosen by the shop's rule, and how good the choice is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, partial

from estimator.buying.board_plan import Planner, cheapest_boards, nicest_boards, plan_boards
from estimator.buying.board_purchase import BoardPurchase, KeptTo
from estimator.buying.board_search import BoardSearch
from estimator.buying.cans import FinishPurchase
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
from estimator.buying.splits import at_true_prices, weighed
from estimator.buying.supplier_plan import AnotherSupplier, FewerSuppliers, SupplierPlan, WithoutRule
from estimator.buying.suppliers import NO_ONE, asking_in, best_trip, cheapest_trip, fewest_stops, lacking, one_stop
from estimator.buying.trips import Bought, Chosen, OneMore, Terms, Trip, Want, Weighed
from estimator.errors import Findings
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import TakeOff

MOST_NAMED = 2  # things that a supplier lacks, in a message
MOST_LACKING = 4  # suppliers told of in it

# Why boards are bought from some of those visited alone.
PREFERRED = "the preferred supplier"
FOR_MINIMUM = "bought there to reach a minimum order"
SPLIT = "bought so as to reach a minimum order"


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
    chosen = _CHOOSERS[order.shop.supplier_choice.choose](market)
    if chosen is None:
        _report_no_single_supplier(market, shopper, findings)
        return None
    return shopper.result(chosen, findings)


_CHOOSERS: dict[str, Callable[[Market], Chosen | None]] = {
    "cheapest": cheapest_trip,
    "fewest stops": fewest_stops,
    "one stop": one_stop,
    "prefer": cheapest_trip,  # in a market where the preferred supplier alone sells what it has
}


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
        self.buys = [cache(partial(self._planned, place)) for place in range(len(self.needs))]
        self.splits = [cache(partial(self._split, place)) for place in range(len(self.needs))]
        self.late = [need for need in listed if goes_by_boards(need, order)]
        rows = (row for need in listed for row in price_rows_of(need, order))
        self.names: dict[str, str] = {}
        for row in rows:
            self.names.setdefault(name_key(row.supplier), row.seller.name if row.seller else row.supplier)
        self.preferred = name_key(order.shop.supplier_choice.preferred)
        self.market = self._market(self.preferred)

    def _market(self, preferred: str) -> Market:
        """Return where the needs can be met; what a preferred supplier has is sold by it alone."""
        return Market(
            [self._want(place, preferred) for place in range(len(self.needs))],
            {
                name_key(one.name): Terms(visit_cost=one.visit_cost, minimum_order=one.minimum_order)
                for one in self.order.prices.suppliers
            },
            partial(self._late, preferred),
            leaves_aside=self._leaves_aside(),
            late_sellers=NO_ONE.union(*(self._sellers(need, preferred) for need in self.late)),
        )

    def result(self, chosen: Chosen, findings: Findings) -> BoughtWhere:
        """Return the purchases of the chosen trip with the nicest plans for them, and what there is to say of it."""
        market, trip = self.market, self._nicest(chosen.trip, findings)
        asking, counted = set(asking_in(market)), trip.visited - {self.preferred}
        return BoughtWhere(
            purchases=tuple(self._claimed(place, one, trip.visited) for place, one in enumerate(trip.bought)),
            plan=SupplierPlan(
                rule=self.order.shop.supplier_choice.choose,
                names=self._named(trip.visited),
                top_ups=dict(trip.top_ups),
                gap=max(Decimal(0), trip.total - trip.aside - chosen.bound),
                asking=len(asking & counted),
                free=len(counted - asking),
                fewer=self._fewer(chosen.fewer, trip) if chosen.fewer else None,
                unvisited=len(asking - trip.visited),
                more=self._more(chosen.more, trip) if chosen.more else None,
                all_fewer_tried=chosen.all_fewer_tried,
                fewer_proved=chosen.fewer_proved,
                is_rounded=any(_is_rounded(need, self.order) for need in (*self.needs, *self.late)),
                without_rule=self._without_rule(trip),
            ),
        )

    def _without_rule(self, trip: Trip) -> WithoutRule | None:
        rule = self.order.shop.supplier_choice.choose
        found = None if rule == "cheapest" else best_trip(self._market("") if rule == "prefer" else self.market)
        if found is None:
            return None
        return WithoutRule(
            names=self._named(found.trip.visited),
            total=found.trip.total,
            costs_less=trip.total - found.trip.total,
            at_most_less=max(Decimal(0), trip.total - trip.aside - found.bound),
        )

    def _fewer(self, fewer: Trip, trip: Trip) -> FewerSuppliers:
        return FewerSuppliers(names=self._named(fewer.visited), costs_more=fewer.total - trip.total)

    def _more(self, more: OneMore, trip: Trip) -> AnotherSupplier:
        return AnotherSupplier(
            name=self.names[more.name],
            beside_more=more.trip.beside - trip.beside,
            goods_less=trip.goods - more.trip.goods,
            proved=more.proved,
        )

    def _claimed(self, place: int, bought: Bought, visited: Names) -> Purchase:
        """Return a purchase; boards with a bound that holds for all who are visited, or with the names it holds for."""
        purchase = bought.purchase
        if not isinstance(purchase, BoardPurchase):
            return purchase
        need, names = self.needs[place], frozenset(bought.spent)
        if self.preferred and names == {self.preferred}:
            others = self._sellers(need, "") & visited - names
            return replace(purchase, kept_to=KeptTo(names=self._named(names), reason=PREFERRED) if others else None)
        cheapest = self.market.bought(place, visited)
        least = cheapest.purchase if cheapest else None
        if not isinstance(least, BoardPurchase) or least.planned_amount >= purchase.planned_amount:
            bound = self.market.bound_on(place, visited) or Decimal(0)
            return replace(purchase, bound=bound if bought.weighed else min(purchase.bound, bound))
        if bought.weighed:
            bound = self.market.bound_on(place, visited) or Decimal(0)
            return replace(purchase, bound=bound, kept_to=KeptTo(names=(), reason=SPLIT))
        return replace(purchase, kept_to=KeptTo(names=self._named(names), reason=FOR_MINIMUM))

    def _nicest(self, trip: Trip, findings: Findings) -> Trip:
        """Return the trip with plans by the shop's preferences, unless those were to cost more.

        Each need is bought from whom it is bought in the trip: elsewhere it may be cheaper, but a minimum order missed.
        """
        found = [
            self._nicest_of(place, one, trip.visited, findings)
            for place, one in enumerate(trip.bought[: len(self.needs)])  # what is late is left out
        ]
        bought = [one for one in found if one is not None]
        late = self._late(self.preferred, trip.visited, bought)
        if len(bought) < len(found) or late is None:
            return trip
        nicest = self.market.trip_of((*bought, *late))
        return nicest if nicest.total <= trip.total else trip

    def _nicest_of(self, place: int, one: Bought, visited: Names, findings: Findings) -> Bought | None:
        planner = partial(nicest_boards, self.searches[place])
        if one.weighed:
            return self._split_by(planner, place, one.weighed)
        return self._buy(self.needs[place], frozenset(one.spent) or visited, findings, planner)

    def _leaves_aside(self) -> bool:
        """Whether spare boards or what goes by the boards may be bought beside the plans."""
        saw = self.order.shop.saw
        has_spares = bool(saw.spare_boards_percent or saw.spare_boards_at_least)
        return has_spares or bool(self.late)

    def _want(self, place: int, preferred: str) -> Want:
        need, buy = self.needs[place], self.buys[place]
        sellers = self._sellers(need, preferred)
        if preferred in sellers and not buy(sellers):  # its boards may be too short
            sellers = self._sellers(need, "")
        return Want(title=title_of(need, self.order), sellers=sellers, buy=buy, split=self.splits[place])

    def _sellers(self, need: Need, preferred: str) -> Names:
        sellers = sellers_of(need, self.order)
        return frozenset([preferred]) if preferred in sellers else sellers

    def _planned(self, place: int, names: Names) -> Bought | None:
        return self._buy(self.needs[place], names, Findings(), partial(cheapest_boards, self.searches[place]))

    def _split(self, place: int, names: Names, name: str, weight: Decimal) -> Bought | None:
        """Return what is bought where the prices of a supplier count at a weight, at the prices as they are."""
        return self._split_by(partial(cheapest_boards, self.searches[place]), place, Weighed(names, name, weight))

    def _split_by(self, planner: Planner, place: int, way: Weighed) -> Bought | None:
        need, order = self.needs[place], weighed(self.order, way.name, way.weight)
        found = self._buy(need, way.names, Findings(), planner, order)
        purchase = found.purchase if found else None
        if isinstance(purchase, FinishPurchase):
            if len(purchase.components) > 1:  # what is used of it goes by the money for either part
                return None
            whole = self._buy(need, way.names, Findings())
            if whole is not None and isinstance(whole.purchase, FinishPurchase):
                purchase = replace(purchase, offers=whole.purchase.offers)
        paid = purchase and at_true_prices(purchase, price_rows_of(need, self.order), self.order.shop.currency)
        return replace(bought_of(paid), weighed=way) if paid else None

    def _buy(
        self,
        need: Need,
        names: Names,
        findings: Findings,
        planner: Planner = plan_boards,
        order: Order | None = None,
    ) -> Bought | None:
        faults_before = len(findings.faults)
        purchase = buy_need(need, order or self.order, findings, names, planner)
        return None if purchase is None or len(findings.faults) > faults_before else bought_of(purchase)

    def _late(self, preferred: str, open_to: Names, bought: Sequence[Bought]) -> tuple[Bought, ...] | None:
        """Return the consumables that go by the boards bought; they follow from the plans and are in no bound."""
        boards = boards_in([one.purchase for one in bought])
        needs = [need for need in consumables_of(self.order, self.takeoff, boards) if goes_by_boards(need, self.order)]
        found = [self._buy(need, open_to & self._sellers(need, preferred), Findings()) for need in needs]
        late = [replace(one, bound=Decimal(0), aside=one.amount) for one in found if one is not None]
        return tuple(late) if len(late) == len(found) else None

    def late_lacking(self, name: str) -> list[str]:
        """Return what goes by the boards and a supplier does not sell."""
        return [title_of(need, self.order) for need in self.late if name not in sellers_of(need, self.order)]

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


def _is_rounded(need: Need, order: Order) -> bool:
    """Whether a need is met from packs or cans that can be chosen among, of prices with parts of a coin."""
    if isinstance(need, LumberNeed):
        return False
    rows, coins = price_rows_of(need, order), 10**order.shop.currency.digits
    return len(rows) > 1 and any((row.net_price * coins) % 1 for row in rows)


def _report_no_single_supplier(market: Market, shopper: _Shopper, findings: Findings) -> None:
    """Say what each supplier lacks, the one that lacks least first."""
    needs = len(market.wants) + len(shopper.late)
    found = {name: [*titles, *shopper.late_lacking(name)] for name, titles in lacking(market).items()}
    lacks = sorted(found.items(), key=lambda one: (len(one[1]), one[0]))
    told = [f"{shopper.names[name]} lacks {_some_of(titles, needs)}" for name, titles in lacks]
    others = len(told) - MOST_LACKING
    said = ", ".join(told[:MOST_LACKING]) + (f"; {others} more lack as much or more" if others > 0 else "")
    findings.fault(
        shopper.order.shop.supplier_choice.origin,
        f'nobody sells everything for this order: {said}; choose "fewest stops", or "cheapest"',
        "choose",
    )


def _some_of(titles: Sequence[str], needs: int) -> str:
    more = len(titles) - MOST_NAMED
    named = ", ".join(f'"{title}"' for title in titles[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
    return f"{len(titles)} of {needs} ({named})"
