"""What the needs of an order cost from any suppliers, each planned once for each different set that sells it.

A larger set never raises the purchases, so what a need costs there bounds what it costs in a smaller one.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from itertools import combinations
from operator import add
from typing import NamedTuple

from estimator.buying.splits import between
from estimator.buying.trips import NO_TERMS, NOTHING, Bought, Names, Terms, Trip, Want

# Suppliers with minimum orders up to which a bound weighs every choice of them.
MOST_WEIGHED = 6

# Ways to buy told apart, by what is spent at those with a minimum order, while one is sought that reaches them.
MOST_MIXES = 2000


class _Mix(NamedTuple):
    """Purchases of the first needs, and what they cost."""

    cost: Decimal
    bought: tuple[Bought, ...]


class Market:
    """The needs of an order, what each costs from any set of suppliers, and what those take beside their prices.

    `late` says what else is bought for what follows from the other purchases, None where it cannot be; `late_sellers`
    sell some of it. Where anything
    may be left aside, as in spare boards, no bound counts on minimum orders, which are reached with it too.
    """

    def __init__(
        self,
        wants: Sequence[Want],
        terms: Mapping[str, Terms],
        late: Callable[[Names, Sequence[Bought]], Sequence[Bought] | None] = lambda *_: (),
        *,
        leaves_aside: bool = False,
        late_sellers: Names = frozenset(),
    ) -> None:
        self.wants = wants
        self.terms = terms
        self.late = late
        self.leaves_aside = leaves_aside
        self.late_sellers = late_sellers
        self._known: list[dict[Names, Bought | None]] = [{} for _ in wants]
        self._known_splits: list[dict[tuple[Names, str], list[Bought]]] = [{} for _ in wants]

    @property
    def sellers(self) -> Names:
        """Everyone who sells something that is needed."""
        return self.late_sellers.union(*(want.sellers for want in self.wants))

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
        """Return a cost that no trip is under that visits all of these suppliers, None where they miss a need.

        Whoever is visited is paid the minimum order or more, and what they do not sell is bought beside it.
        """
        bounds = [self.bound_on(place, open_to) for place in range(len(self.wants))]
        known = [bound for bound in bounds if bound is not None]
        if len(known) < len(bounds):
            return None
        return self.visits_of(open_to) + max(
            sum((self.terms[name].minimum_order for name in paid), NOTHING)
            + sum((bound for want, bound in zip(self.wants, known, strict=True) if not want.sellers & paid), NOTHING)
            for paid in self._paid_minimum(open_to)
        )

    def purchases_bound(self, open_to: Names) -> Decimal | None:
        """Return a cost that the goods are not under wherever they are bought, None where a need is not met."""
        bounds = [self.bound_on(place, open_to) for place in range(len(self.wants))]
        known = [bound for bound in bounds if bound is not None]
        return sum(known, NOTHING) if len(known) == len(bounds) else None

    def _paid_minimum(self, open_to: Names) -> list[Names]:
        """Return some sets of suppliers with a minimum order, the empty one too, to be weighed in a bound."""
        names = [] if self.leaves_aside else self.with_minimum(open_to)
        sizes = range(len(names) + 1) if len(names) <= MOST_WEIGHED else (0, 1, len(names))
        return [frozenset(some) for size in sizes for some in combinations(names, size)]

    def with_minimum(self, names: Names) -> list[str]:
        """Return those of some suppliers that have a minimum order."""
        return sorted(name for name in names if self.terms.get(name, NO_TERMS).minimum_order)

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
        trip = self._with_late(open_to, bought)
        if trip is None or not trip.top_ups:
            return trip
        moved = self._with_late(open_to, self._towards_minimum(open_to, bought, trip.top_ups))
        return trip if moved is None else min(trip, moved, key=lambda one: one.rank)

    def trip_to_all(self, names: Names) -> Trip | None:
        """Return what everything costs when each of these suppliers is visited and paid its minimum order at least.

        None where it cannot be had from them. What is bought is as cheap as that allows, as far as it is looked for.
        """
        found = [self.bought(place, names) for place in range(len(self.wants))]
        bought = [one for one in found if one is not None]
        trip = self._with_late(names, bought, names) if len(bought) == len(found) else None
        if trip is None or not trip.top_ups:
            return trip
        moved = self._with_late(names, self._towards_minimum(names, bought, trip.top_ups), names)
        return trip if moved is None else min(trip, moved, key=lambda one: one.rank)

    def _with_late(self, open_to: Names, bought: Sequence[Bought], to_all: Names = frozenset()) -> Trip | None:
        late = self.late(open_to, bought)
        return None if late is None else self.trip_of((*bought, *late), to_all)

    def _towards_minimum(self, open_to: Names, bought: Sequence[Bought], short: Iterable[str]) -> tuple[Bought, ...]:
        """Return purchases that cost least with what is paid to reach minimum orders.

        Each need is bought in one of its `_ways`: the best choice of them, where no more than MOST_MIXES have to be
        told apart at a time, by what is spent at those who have a minimum order. `short` are those whose minimum order
        the cheapest purchases do not reach.
        """
        names = self.with_minimum(open_to)
        least = [self.terms[name].minimum_order for name in names]
        mixes: dict[tuple[Decimal, ...], _Mix] = {(NOTHING,) * len(names): _Mix(NOTHING, ())}
        for place, found in enumerate(bought):
            ways = self._ways(place, open_to, found, short)
            grown: dict[tuple[Decimal, ...], _Mix] = {}
            for spent, mix in mixes.items():
                for one in ways:
                    more = (one.spent.get(name, NOTHING) for name in names)
                    key = tuple(map(min, least, map(add, spent, more)))
                    cost = mix.cost + one.amount
                    if key not in grown or cost < grown[key].cost:
                        grown[key] = _Mix(cost, (*mix.bought, one))
            lasting = sorted(grown.items(), key=lambda one: (one[1].cost - sum(one[0], NOTHING), one[0]))
            mixes = dict(lasting[:MOST_MIXES])
        return next(iter(mixes.values())).bought

    def _ways(self, place: int, open_to: Names, cheapest: Bought, short: Iterable[str]) -> list[Bought]:
        """Return the cheapest way to meet a need, and dearer ones that leave more money with who has a minimum order.

        Those are bought whole from one of these, or split so as to leave more with one that is short, see `between`.
        """
        least = self.with_minimum(self.wants[place].sellers & open_to)
        found = [self.bought(place, frozenset([name])) for name in least]
        found += [one for name in short if name in least for one in self._splits(place, open_to, name)]
        ways = {tuple(sorted(one.spent.items())): one for one in (cheapest, *found) if one}
        return list(ways.values())

    def _splits(self, place: int, open_to: Names, name: str) -> list[Bought]:
        """Return ways to split a need among those who are open, that leave more money with one of them."""
        want = self.wants[place]
        key = want.sellers & open_to, name
        known = self._known_splits[place]
        if key not in known:
            less, more = self.bought(place, open_to), self.bought(place, frozenset([name]))
            known[key] = between(less, more, name, partial(want.split, *key)) if less and more else []
        return known[key]

    def trip_of(self, bought: tuple[Bought, ...], to_all: Names = frozenset()) -> Trip:
        """Return what fetching everything comes to, from who sells it and those who are visited in any case."""
        spent: dict[str, Decimal] = dict.fromkeys(to_all, NOTHING)
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
