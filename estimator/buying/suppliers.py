"""Which suppliers to visit: the cheapest set of them, visits and minimum orders counted in.

Once it is settled who may be visited, each need is bought for itself at the least cost. So sets are looked at one by
one, and a need is planned once for each different set of suppliers that sell it. A larger set never raises the
purchases: what everything costs with more suppliers open, and the visits of a set, are a bound on the set, so that few
are planned. Names of suppliers are keys here, see `name_key`.
"""

import heapq
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations, islice

from estimator.buying.purchase import Purchase

Names = frozenset[str]

# Sets of suppliers that are looked at; what is left counts by its bound.
MOST_SETS = 4096
NOTHING = Decimal(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Terms:
    """What a supplier takes beside its prices: for each visit, and at least in all."""

    visit_cost: Decimal = NOTHING
    minimum_order: Decimal = NOTHING

    @property
    def is_free(self) -> bool:
        """Whether nothing is lost by having it among those that may be visited."""
        return not self.visit_cost and not self.minimum_order


NO_TERMS = Terms()


@dataclass(frozen=True, kw_only=True, slots=True)
class Bought:
    """What a need costs from some suppliers: the money for each, and a bound on it, `aside` not counted.

    `aside` is for what follows from a plan and is no part of it, such as spare boards.
    """

    purchase: Purchase
    spent: Mapping[str, Decimal]
    bound: Decimal
    aside: Decimal = NOTHING

    @property
    def amount(self) -> Decimal:
        """What it costs at the till, boards on hand at what they count."""
        return self.purchase.amount


@dataclass(frozen=True, kw_only=True, slots=True)
class Want:
    """One need: who sells something for it, and what it costs from those of them that are open, None for too few."""

    title: str
    sellers: Names
    buy: Callable[[Names], Bought | None]


@dataclass(frozen=True, kw_only=True, slots=True)
class Trip:
    """Everything bought from the suppliers of a set, with what those of them cost that are visited for it.

    `top_ups` are paid to reach minimum orders.
    """

    bought: tuple[Bought, ...]
    visit_costs: Mapping[str, Decimal]
    top_ups: Mapping[str, Decimal]

    @property
    def visited(self) -> Names:
        """Who is visited."""
        return frozenset(self.visit_costs)

    @property
    def beside(self) -> Decimal:
        """What is paid beside the prices."""
        return sum((*self.visit_costs.values(), *self.top_ups.values()), NOTHING)

    @property
    def total(self) -> Decimal:
        """What everything costs."""
        return sum((one.amount for one in self.bought), self.beside)

    @property
    def aside(self) -> Decimal:
        """What of it no bound counts."""
        return sum((one.aside for one in self.bought), NOTHING)

    @property
    def rank(self) -> tuple[Decimal, int, tuple[str, ...]]:
        """By what one of two trips is chosen: its cost, then fewer visits, then names."""
        return self.total, len(self.visited), tuple(sorted(self.visited))


@dataclass(frozen=True, kw_only=True, slots=True)
class Chosen:
    """The cheapest trip found, and a cost that no other is under, what is left aside not counted.

    `fewer` is the best trip with one supplier fewer of those that cost anything to visit or have a minimum order; None
    where there is none.
    """

    trip: Trip
    bound: Decimal
    fewer: Trip | None = None


class Market:
    """The needs of an order, what each costs from any set of suppliers, and what those take beside their prices.

    `late` says what else is bought for what follows from the other purchases, None where it cannot be.
    """

    def __init__(
        self,
        wants: Sequence[Want],
        terms: Mapping[str, Terms],
        late: Callable[[Names, Sequence[Bought]], Sequence[Bought] | None] = lambda *_: (),
    ) -> None:
        self.wants = wants
        self.terms = terms
        self.late = late
        self._known: list[dict[Names, Bought | None]] = [{} for _ in wants]

    @property
    def sellers(self) -> Names:
        """Everyone who sells something that is needed."""
        return frozenset[str]().union(*(want.sellers for want in self.wants))

    def bought(self, place: int, open_to: Names) -> Bought | None:
        """Return what a need costs from those who sell it and are open, None where they cannot meet it."""
        known, key = self._known[place], self.wants[place].sellers & open_to
        if key not in known:
            known[key] = self._planned(place, key)
        return known[key]

    def _planned(self, place: int, key: Names) -> Bought | None:
        known = self._known[place]
        for wider, found in known.items():
            if key < wider and (found is None or found.spent.keys() <= key):
                return found  # those that are open less were not needed, or not enough even with them
        planned = self.wants[place].buy(key)
        narrower = [found for other, found in known.items() if found and other < key]
        best = min([*([planned] if planned else []), *narrower], key=lambda one: one.amount, default=None)
        return best and replace(best, bound=planned.bound if planned else NOTHING)

    def bound_on(self, place: int, open_to: Names) -> Decimal | None:
        """Return a cost that a need is not under with those who are open, None where they cannot meet it."""
        known, key = self._known[place], self.wants[place].sellers & open_to
        if key in known:
            found = known[key]
            return found.bound if found else None
        return max((found.bound for wider, found in known.items() if found and key < wider), default=NOTHING)

    def bound(self, open_to: Names) -> Decimal | None:
        """Return a cost that no trip to all of these suppliers is under, None where they cannot meet a need."""
        total = self.visits_of(open_to)
        for place in range(len(self.wants)):
            bound = self.bound_on(place, open_to)
            if bound is None:
                return None
            total += bound
        return total

    def visits_of(self, names: Names) -> Decimal:
        """Return what visits to suppliers cost."""
        return sum((self.terms.get(name, NO_TERMS).visit_cost for name in names), NOTHING)

    def trip(self, open_to: Names, under: Decimal | None = None) -> Trip | None:
        """Return what everything costs from those who are open, None where it cannot be had, or not under a cost."""
        bought: list[Bought] = []
        for place in range(len(self.wants)):
            found = self.bought(place, open_to)
            bound = self.bound(open_to)
            if found is None or bound is None or (under is not None and bound >= under):
                return None
            bought.append(found)
        late = self.late(open_to, bought)
        return None if late is None else self.trip_of((*bought, *late))

    def trip_of(self, bought: tuple[Bought, ...]) -> Trip:
        """Return what fetching everything comes to."""
        spent: dict[str, Decimal] = {}
        for one in bought:
            for name, amount in one.spent.items():
                spent[name] = spent.get(name, NOTHING) + amount
        terms = {name: self.terms.get(name, NO_TERMS) for name in sorted(spent)}
        return Trip(
            bought=bought,
            visit_costs={name: one.visit_cost for name, one in terms.items()},
            top_ups={
                name: one.minimum_order - spent[name] for name, one in terms.items() if spent[name] < one.minimum_order
            },
        )


def cheapest_trip(market: Market) -> Chosen | None:
    """Return the cheapest trip over all sets of suppliers, and the best with one of them fewer.

    None where not even all of them together meet the needs. Minimum orders are charged, and are not in the bound.
    """
    asking = sorted(name for name in market.sellers if not market.terms.get(name, NO_TERMS).is_free)
    free = market.sellers - frozenset(asking)
    everything = market.trip(market.sellers)
    purchases = market.bound(market.sellers)
    if everything is None or purchases is None:
        return None
    purchases -= market.visits_of(market.sellers)
    costs = [(name, market.terms[name].visit_cost) for name in asking]
    sets, left_out = _affordable(costs, everything.total - purchases)
    found, bound = _best_of(market, [free | one for one in sets], everything)
    best = found or everything
    bounds = [bound] if bound is not None else []
    bounds += [left_out + purchases] if left_out is not None else []
    visits = len(best.visited.intersection(asking))
    return Chosen(
        trip=best,
        bound=min([*bounds, best.total - best.aside]),
        fewer=_best_with(market, free, asking, visits - 1) if visits else None,
    )


def one_stop(market: Market) -> Chosen | None:
    """Return the cheapest trip to a single supplier, None where none has everything."""
    sets = [frozenset([name]) for name in sorted(market.sellers)] or [frozenset()]  # all may be on hand
    found, bound = _best_of(market, sets, None)
    if found is None:
        return None
    return Chosen(trip=found, bound=min(found.total - found.aside, *([bound] if bound is not None else [])))


def lacking(market: Market) -> dict[str, list[str]]:
    """Return what each supplier cannot provide for an order, by its name."""
    return {
        name: [want.title for place, want in enumerate(market.wants) if not market.bought(place, frozenset([name]))]
        for name in sorted(market.sellers)
    }


def _best_with(market: Market, free: Names, asking: Sequence[str], visits: int) -> Trip | None:
    """Return the best trip with so many of the suppliers that take something beside their prices."""
    sets = [free.union(some) for some in islice(combinations(asking, visits), MOST_SETS)]
    return _best_of(market, sets, None)[0]


def _affordable(costs: Sequence[tuple[str, Decimal]], below: Decimal) -> tuple[list[Names], Decimal | None]:
    """Return the sets whose visits cost less than an amount, and what those of the first cost that are one too many."""
    sets: list[Names] = []
    for visits, names in _by_cost(costs):
        if visits >= below:
            break
        if len(sets) == MOST_SETS:
            return sets, visits
        sets.append(names)
    return sets, None


def _by_cost(costs: Sequence[tuple[str, Decimal]]) -> Iterator[tuple[Decimal, Names]]:
    """Yield all sets of some names by rising cost, the empty one first."""
    yield NOTHING, frozenset()
    rising = sorted(costs, key=lambda one: (one[1], one[0]))
    waiting: list[tuple[Decimal, tuple[int, ...]]] = [(rising[0][1], (0,))] if rising else []
    while waiting:
        cost, places = heapq.heappop(waiting)
        yield cost, frozenset(rising[place][0] for place in places)
        last, behind = places[-1], places[-1] + 1
        if behind < len(rising):
            more = rising[behind][1]
            heapq.heappush(waiting, (cost + more, (*places, behind)))
            heapq.heappush(waiting, (cost + more - rising[last][1], (*places[:-1], behind)))


def _best_of(market: Market, sets: Iterable[Names], best: Trip | None) -> tuple[Trip | None, Decimal | None]:
    """Return the best trip to the suppliers of one of the sets, and a bound on them; None where there is none.

    Sets that the bound shows to be no better than the best so far are not planned.
    """
    waiting: list[tuple[Decimal, int, Names]] = []
    for place, one in enumerate(sets):
        if (known := market.bound(one)) is not None:
            heapq.heappush(waiting, (known, place, one))
    bounds: list[Decimal] = []
    while waiting:
        said, place, one = heapq.heappop(waiting)
        bound = market.bound(one)
        if bound is not None and bound > said:  # plans made since then tell more
            heapq.heappush(waiting, (bound, place, one))
        elif bound is not None:
            if best is not None and bound >= best.total:
                bounds.append(bound)
                break
            trip = market.trip(one, None if best is None else best.total)
            if (known := market.bound(one)) is not None:
                bounds.append(known)
            if trip is not None and (best is None or trip.rank < best.rank):
                best = trip
    return best, min(bounds, default=None)
