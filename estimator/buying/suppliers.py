"""Which suppliers to visit: the cheapest set of them, visits and minimum orders counted in.

Once it is settled who may be visited, each need is bought for itself at the least cost, or from whoever has a minimum
order still to be reached. So sets are looked at one by one, and those whose bound is no better than the best so far are
not planned. Names of suppliers are keys here, see `name_key`.
"""

import heapq
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import combinations, islice

from estimator.buying.market import Market
from estimator.buying.trips import NO_TERMS, NOTHING, Chosen, Names, OneMore, Trip

# Sets of suppliers that are looked at; what is left counts by its bound.
MOST_SETS = 4096


def cheapest_trip(market: Market) -> Chosen | None:
    """Return the cheapest trip over all sets of suppliers, the best with one of them fewer, and what one more would do.

    None where not even all of them together meet the needs.
    """
    asking = sorted(name for name in market.sellers if not market.terms.get(name, NO_TERMS).is_free)
    free = market.sellers - frozenset(asking)
    everything = market.trip(market.sellers)
    purchases = market.purchases_bound(market.sellers)
    if everything is None or purchases is None:
        return None
    costs = [(name, market.terms[name].visit_cost) for name in asking]
    sets, left_out = _affordable(costs, everything.total - purchases)
    found, bound = _best_of(market, [free | one for one in sets], everything)
    best = found or everything
    bounds = [bound] if bound is not None else []
    bounds += [left_out + purchases] if left_out is not None else []
    visits = len(best.visited.intersection(asking))
    others = [name for name in asking if name not in best.visited]
    return Chosen(
        trip=best,
        bound=min([*bounds, best.total - best.aside]),
        fewer=_best_with(market, free, asking, visits - 1) if visits else None,
        more=_one_more(market, best, free, others),
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


def _one_more(market: Market, trip: Trip, free: Names, others: Sequence[str]) -> OneMore | None:
    """Return which other supplier visited as well costs least in all, None where it makes nothing cheaper."""
    near = free | trip.visited
    bounds = {name: market.bound(near | {name}) for name in others}
    known = sorted((bound, name) for name, bound in bounds.items() if bound is not None)
    best: OneMore | None = None
    for bound, name in known:
        if best is not None and bound >= best.total:
            break
        wider = market.trip(near | {name})
        if wider is not None and name in wider.visited and _makes_cheaper(wider, trip):
            beside = market.visits_of(near | {name}) + wider.topped_up
            one = OneMore(name=name, trip=wider, beside=beside)
            best = one if best is None or one.total < best.total else best
    return best


def _makes_cheaper(wider: Trip, trip: Trip) -> bool:
    return wider.goods < trip.goods or wider.topped_up < trip.topped_up


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
