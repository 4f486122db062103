"""What the needs of an order cost from any suppliers, each planned once for each different set that sells it.

A larger set never raises the purchases, so what a need costs there bounds what it costs in a smaller one.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from operator import add
from typing import NamedTuple

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

    `late` says what else is bought for what follows from the other purchases, None where it cannot be. Where anything
    may be left aside, as in spare boards, no bound counts on minimum orders, which are reached with it too.
    """

    def __init__(
        self,
        wants: Sequence[Want],
        terms: Mapping[str, Terms],
        late: Callable[[Names, Sequence[Bought]], Sequence[Bought] | None] = lambda *_: (),
        *,
        leaves_aside: bool = False,
    ) -> None:
        self.wants = wants
        self.terms = terms
        self.late = late
        self.leaves_aside = leaves_aside
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
        moved = self._with_late(open_to, self._towards_minimum(open_to, bought))
        return trip if moved is None else min(trip, moved, key=lambda one: one.rank)

    def _with_late(self, open_to: Names, bought: Sequence[Bought]) -> Trip | None:
        late = self.late(open_to, bought)
        return None if late is None else self.trip_of((*bought, *late))

    def _towards_minimum(self, open_to: Names, bought: Sequence[Bought]) -> tuple[Bought, ...]:
        """Return purchases that cost least with what is paid to reach minimum orders.

        Each need is bought as it is cheapest, or whole from one of those who have a minimum order: the best of all such
        ways where no more than MOST_MIXES of them have to be told apart at a time, by what is spent at those suppliers.
        """
        names = self.with_minimum(open_to)
        least = [self.terms[name].minimum_order for name in names]
        mixes: dict[tuple[Decimal, ...], _Mix] = {(NOTHING,) * len(names): _Mix(NOTHING, ())}
        for place, found in enumerate(bought):
            here = [name for name in names if name in self.wants[place].sellers and found.spent.keys() != {name}]
            whole = [one for name in here if (one := self.bought(place, frozenset([name])))]
            grown: dict[tuple[Decimal, ...], _Mix] = {}
            for spent, mix in mixes.items():
                for one in (found, *whole):
                    more = (one.spent.get(name, NOTHING) for name in names)
                    key = tuple(map(min, least, map(add, spent, more)))
                    cost = mix.cost + one.amount
                    if key not in grown or cost < grown[key].cost:
                        grown[key] = _Mix(cost, (*mix.bought, one))
            lasting = sorted(grown.items(), key=lambda one: (one[1].cost - sum(one[0], NOTHING), one[0]))
            mixes = dict(lasting[:MOST_MIXES])
        return next(iter(mixes.values())).bought

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
