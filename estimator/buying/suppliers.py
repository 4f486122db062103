"""Which suppliers to visit: the cheapest set of them, visits and minimum orders counted in.

Once it is settled who may be visited, each need is bought for itself at the least cost, or more of it than that from
whoever has a minimum order still to be reached. So sets are looked at one by one, and those whose bound is no better
than the best so far are not planned. Names of suppliers are keys here, see `name_key`.
"""

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import combinations, islice
from math import comb

from estimator.buying.market import Market
from estimator.buying.trips import NO_TERMS, NOTHING, Chosen, Names, OneMore, Trip

# Sets of suppliers that are looked at; what is left counts by its bound.
MOST_SETS = 4096
NO_ONE: Names = frozenset()


def cheapest_trip(market: Market) -> Chosen | None:
    """Return the cheapest trip over all sets of suppliers, the best with one of them fewer, and what one more would do.

    None where not even all of them together meet the needs.
    """
    chosen = best_trip(market)
    while chosen is not None:
        told = _with_one_less_and_more(market, chosen)
        found = [*([told.fewer] if told.fewer else []), *([market.trip_of(told.more.trip.bought)] if told.more else [])]
        better = min(found, key=lambda one: one.rank, default=None)
        if better is None or better.total >= chosen.trip.total:
            return told
        chosen = Chosen(trip=better, bound=min(chosen.bound, better.total - better.aside))
    return None


def _with_one_less_and_more(market: Market, chosen: Chosen) -> Chosen:
    asking, best = asking_in(market), chosen.trip
    free = market.sellers - frozenset(asking)
    visits = len(best.visited.intersection(asking))
    others = [name for name in asking if name not in best.visited]
    fewer, bound = _best_with(market, free, asking, visits - 1) if visits else (None, None)
    return replace(
        chosen,
        fewer=fewer,
        fewer_proved=fewer is None or bound is None or bound >= fewer.total - fewer.aside,
        all_fewer_tried=not visits or comb(len(asking), visits - 1) <= MOST_SETS,
        more=_one_more(market, best, free, others),
    )


def asking_in(market: Market) -> list[str]:
    """Return the sellers that take something beside their prices, by name."""
    return sorted(name for name in market.sellers if not market.terms.get(name, NO_TERMS).is_free)


def best_trip(market: Market) -> Chosen | None:
    """Return the cheapest trip over all sets of suppliers, None where not even all together meet the needs."""
    asking = asking_in(market)
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
    return Chosen(trip=best, bound=min([*bounds, best.total - best.aside]))


def one_stop(market: Market) -> Chosen | None:
    """Return the cheapest trip to a single supplier, None where none has everything."""
    sets = [frozenset([name]) for name in sorted(market.sellers)] or [frozenset()]  # all may be on hand
    found, bound = _best_of(market, sets, None)
    if found is None:
        return None
    return Chosen(trip=found, bound=min(found.total - found.aside, *([bound] if bound is not None else [])))


def fewest_stops(market: Market) -> Chosen | None:
    """Return the cheapest trip among those to the fewest suppliers that together have everything.

    None where not even all of them do. Past MOST_SETS sets of so many, the rest count by what the goods cost at least.
    """
    if market.trip(market.sellers) is None:
        return None
    needed = [want.sellers for place, want in enumerate(market.wants) if not market.bought(place, frozenset())]
    needed.sort(key=lambda sellers: (len(sellers), sorted(sellers)))
    for stops in range(len(market.sellers) + 1):
        waiting = _each_once(_covers(needed, market.sellers, stops, NO_ONE))
        while sets := list(islice(waiting, MOST_SETS)):
            found, bound = _best_of(market, sets, None)
            if found is not None:
                rest = market.purchases_bound(market.sellers) if next(waiting, None) else None
                bounds = [one for one in (bound, rest, found.total - found.aside) if one is not None]
                return Chosen(trip=found, bound=min(bounds))
    return None


def _covers(needed: Sequence[Names], everyone: Names, size: int, chosen: Names) -> Iterator[Names]:
    """Yield the sets of so many suppliers, those chosen among them, that have a seller of every need."""
    missed = [sellers for sellers in needed if not sellers & chosen]
    left = size - len(chosen)
    if not missed:
        yield from (chosen.union(some) for some in combinations(sorted(everyone - chosen), left))
    elif _apart(missed) <= left:
        for name in sorted(missed[0]):
            yield from _covers(needed, everyone, size, chosen | {name})


def _each_once(sets: Iterable[Names]) -> Iterator[Names]:
    seen: set[Names] = set()
    for one in sets:
        if one not in seen:
            seen.add(one)
            yield one


def _apart(needed: Sequence[Names]) -> int:
    """Return how many of some needs have no seller in common, one by one: no fewer suppliers have all of them."""
    apart: list[Names] = []
    for sellers in needed:
        if all(sellers.isdisjoint(one) for one in apart):
            apart.append(sellers)
    return len(apart)


def lacking(market: Market) -> dict[str, list[str]]:
    """Return what each supplier cannot provide for an order, by its name."""
    return {
        name: [want.title for place, want in enumerate(market.wants) if not market.bought(place, frozenset([name]))]
        for name in sorted(market.sellers)
    }


def _best_with(market: Market, free: Names, asking: Sequence[str], visits: int) -> tuple[Trip | None, Decimal | None]:
    """Return the best trip with so many of the suppliers that take something beside their prices, and a bound."""
    sets = [free.union(some) for some in islice(combinations(asking, visits), MOST_SETS)]
    return _best_of(market, sets, None)


def _one_more(market: Market, trip: Trip, free: Names, others: Sequence[str]) -> OneMore | None:
    """Return which other supplier visited as well costs least in all, None where no goods would cost less for it.

    They would not where the goods cost no less even if nothing were bought only to reach a minimum order.
    """
    near = free | trip.visited
    bounds = {name: market.bound(near | {name}) for name in others}
    known = sorted((bound, name) for name, bound in bounds.items() if bound is not None)
    best: OneMore | None = None
    for bound, name in known:
        if best is not None and bound >= best.trip.total:
            break
        names = near | {name}
        wider, goods, least = market.trip_to_all(names), market.purchases_bound(names), market.bound(names)
        if wider is None or goods is None or goods >= trip.goods - trip.aside:
            continue
        if best is None or wider.total < best.trip.total:
            best = OneMore(name=name, trip=wider, proved=least is not None and least >= wider.total - wider.aside)
    return best


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
