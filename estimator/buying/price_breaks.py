"""Price breaks, exactly: all pieces of an item cost less where at least so many are paid for. Whole numbers only.

The cost of an item is not linear, but it is once one of its tiers is chosen: "at least q at this price" is q pieces
that are paid for already, and further ones at that price. The search over tiers needs no more than a solver for such
terms. Where several tiers of an item are still open, it is given the least of their quantities and the least of their
prices, so that what it finds is no dearer than any of them; a tier that its answer does not earn is branched on.
"""

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Generic, NamedTuple, TypeVar

Answer = TypeVar("Answer")


class Tier(NamedTuple):
    """A price of each piece where at least so many are paid for; None where so few are not sold."""

    least: int
    price: int | None


Tiers = tuple[Tier, ...]  # of one item, by rising quantity and falling price; the first from 0 on


class Terms(NamedTuple):
    """What an item costs while some of its tiers are open: so many are paid for, further ones at a price.

    Nothing more than what is paid for can be had where the price is None.
    """

    paid: int
    price: int | None

    @property
    def constant(self) -> int:
        """What the pieces cost that are paid for."""
        return self.paid * (self.price or 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Solved(Generic[Answer]):
    """An answer under terms: how many of each item it takes, its cost beyond what is paid for, and a bound on that."""

    answer: Answer
    counts: tuple[int, ...]
    cost: int
    bound: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Cheapest(Generic[Answer]):
    """The cheapest answer found: how many of each item it takes, its true cost, and a bound on all answers."""

    answer: Answer
    counts: tuple[int, ...]
    cost: int
    bound: int


Solver = Callable[[tuple[Terms, ...]], Solved[Answer] | None]
OpenTiers = tuple[int, int]  # of one item: the place of the first that is open, and the place behind the last


def tiers_of(prices: Sequence[tuple[int, int]]) -> Tiers:
    """Return the tiers of an item by its prices, each with the quantity from which it holds.

    A price that is no lower than one that holds for fewer is never paid.
    """
    tiers: list[Tier] = []
    for least, price in sorted(prices):
        if not tiers or tiers[-1].price is None or price < tiers[-1].price:
            if least > 1 and not tiers:
                tiers.append(Tier(0, None))
            tiers.append(Tier(least if tiers else 0, price))
    return tuple(tiers)


def paid_for(tiers: Tiers, needed: int) -> tuple[int, int]:
    """Return the place of the tier in which so many cost least, and how many are paid for in it.

    Among equal costs the fewest pieces. Nothing is paid for where none is needed.
    """
    if not needed:
        return 0, 0
    _, pieces, place = min(
        (max(needed, tier.least) * tier.price, max(needed, tier.least), place)
        for place, tier in enumerate(tiers)
        if tier.price is not None
    )
    return place, pieces


def cost_of(tiers: Tiers, needed: int) -> int:
    """Return what so many pieces cost at the least, by paying for more of them where that is cheaper."""
    place, pieces = paid_for(tiers, needed)
    return pieces * (tiers[place].price or 0)


def settled_terms(tiers: Tiers, needed: int) -> Terms:
    """Return the terms of the one tier in which so many cost least."""
    tier = tiers[paid_for(tiers, needed)[0]]
    return Terms(tier.least, tier.price)


def cheapest_answer(
    items: Sequence[Tiers], solve: Solver[Answer], most_solved: int | None = None
) -> Cheapest[Answer] | None:
    """Return the cheapest answer over all choices of tiers, None where there is none under any.

    Exact where the solver is; its bounds make up the bound. After `most_solved` questions to it what is open counts by
    its bound.
    """
    everything = tuple((0, len(tiers)) for tiers in items)
    search = _Search(items, solve)
    search.look_at(everything, 0)
    floors = []
    while search.open:
        bound, _, tiers_open, counts = heapq.heappop(search.open)
        floors.append(bound)
        enough = most_solved is not None and search.asked >= most_solved
        if search.best is None or bound >= search.best.cost or enough:
            break
        place = _worst_paid(items, tiers_open, counts)
        if place is None:
            continue
        floors.pop()
        for narrowed in _without_the_last(tiers_open[place]):
            search.look_at((*tiers_open[:place], narrowed, *tiers_open[place + 1 :]), bound)
    if search.best is None:
        return None
    return Cheapest(
        answer=search.best.answer,
        counts=search.best.counts,
        cost=search.best.cost,
        bound=min([*floors, search.best.cost]),
    )


class _Search(Generic[Answer]):
    """The choices still to be looked into, by their bound, and the best answer so far."""

    def __init__(self, items: Sequence[Tiers], solve: Solver[Answer]) -> None:
        self.items = items
        self.solve = solve
        self.open: list[tuple[int, int, tuple[OpenTiers, ...], tuple[int, ...]]] = []
        self.best: Solved[Answer] | None = None  # its cost is the true one
        self.asked = 0
        self._order = count()

    def look_at(self, tiers_open: tuple[OpenTiers, ...], at_least: int) -> None:
        """Solve for the tiers that are open; `at_least` is a bound that is known for them."""
        terms = tuple(_terms(tiers, one) for tiers, one in zip(self.items, tiers_open, strict=True))
        constant = sum(one.constant for one in terms)
        if self.best is not None and max(constant, at_least) >= self.best.cost:
            return
        self.asked += 1
        solved = self.solve(terms)
        if solved is None:
            return
        cost = solved.cost
        for tiers, one, needed in zip(self.items, terms, solved.counts, strict=True):
            cost += cost_of(tiers, needed) - max(0, needed - one.paid) * (one.price or 0)
        if self.best is None or cost < self.best.cost:
            self.best = Solved(answer=solved.answer, counts=solved.counts, cost=cost, bound=0)
        bound = max(at_least, constant + solved.bound)
        heapq.heappush(self.open, (bound, next(self._order), tiers_open, solved.counts))


def _terms(tiers: Tiers, tiers_open: OpenTiers) -> Terms:
    """Return terms that are no dearer than any open tier."""
    first, behind = tiers_open
    return Terms(tiers[first].least, tiers[behind - 1].price)


def _worst_paid(items: Sequence[Tiers], tiers_open: tuple[OpenTiers, ...], counts: tuple[int, ...]) -> int | None:
    """Return the item that costs most beyond its terms, None where all cost what their terms say."""
    beyond = []
    for tiers, one, needed in zip(items, tiers_open, counts, strict=True):
        terms = _terms(tiers, one)
        said = max(needed, terms.paid) * (terms.price or 0)
        beyond.append(cost_of(tiers[one[0] : one[1]], max(needed, terms.paid)) - said if one[1] - one[0] > 1 else 0)
    most = max(beyond, default=0)
    return beyond.index(most) if most > 0 else None


def _without_the_last(tiers_open: OpenTiers) -> tuple[OpenTiers, OpenTiers]:
    """Return the last of the open tiers alone, and the others without it."""
    first, behind = tiers_open
    return (behind - 1, behind), (first, behind - 1)
