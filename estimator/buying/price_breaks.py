"""Price breaks, exactly: all pieces of an item cost less where at least so many are paid for. Whole numbers only.

The cost of an item is not linear, but it is once one of its tiers is chosen: "at least q at this price" is q pieces
that are paid for already, and further ones at that price. The search over tiers needs no more than a solver for such
terms. Where several tiers of an item are still open, it is given the least of their quantities and the least of their
prices, so that what it finds is no dearer than any of them; a tier that its answer does not earn is branched on.
Where asking the solver is dear, a guess that is quick to make comes first: its bound may rule terms out unasked.
"""

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Generic, NamedTuple, TypeVar

Answer = TypeVar("Answer")

# Guesses at terms after which what is still open counts by its bound.
MOST_GUESSED = 400


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


class Guess(NamedTuple):
    """A bound on the cost of all answers under terms, beyond what is paid for, and how many of each item might do."""

    bound: int
    counts: tuple[int, ...] | None


Solver = Callable[[tuple[Terms, ...]], Solved[Answer] | None]
Guesser = Callable[[tuple[Terms, ...], int | None], Guess | None]  # costs from the second on do not matter
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


def true_cost(items: Sequence[Tiers], terms: Sequence[Terms], solved: Solved[Answer]) -> int:
    """Return what an answer costs by the tiers, of which terms showed the solver one or a few."""
    cost = solved.cost
    for tiers, one, needed in zip(items, terms, solved.counts, strict=True):
        cost += cost_of(tiers, needed) - max(0, needed - one.paid) * (one.price or 0)
    return cost


def cheapest_answer(
    items: Sequence[Tiers],
    solve: Solver[Answer],
    most_solved: int | None = None,
    *,
    guess: Guesser | None = None,
    known: Sequence[Cheapest[Answer]] = (),
) -> Cheapest[Answer] | None:
    """Return the cheapest answer over all choices of tiers, None where there is none under any.

    Exact where the solver is; its bounds and those of the guesses make up the bound. After `most_solved` questions, or
    MOST_GUESSED guesses, what is open counts by its bound. `known` are answers with their true costs, to be beaten.
    """
    search = _Search(items, solve, guess, known)
    search.look_at(tuple((0, search.affordable(tiers)) for tiers in items), 0)
    floors = []
    while search.open:
        choice = heapq.heappop(search.open)
        if search.is_beaten(choice.bound) or search.is_worked_out(most_solved):
            floors.append(choice.bound)
            break
        place = None if choice.counts is None else _worst_paid(items, choice.tiers_open, choice.counts)
        if place is not None:
            for narrowed in _without_the_last(choice.tiers_open[place]):
                search.look_at((*choice.tiers_open[:place], narrowed, *choice.tiers_open[place + 1 :]), choice.bound)
        elif choice.is_solved:
            floors.append(choice.bound)
        else:
            search.ask(choice)
    if search.best is None:
        return None
    return replace(search.best, bound=min([*floors, search.best.cost]))


class _Choice(NamedTuple):
    """Tiers that are open, a bound on all answers under them, and how many of each item an answer or a guess takes."""

    bound: int
    newest_last: int
    tiers_open: tuple[OpenTiers, ...]
    counts: tuple[int, ...] | None
    is_solved: bool
    asked: int  # questions when its guess was made: later ones may teach the guesser more


class _Search(Generic[Answer]):
    """The choices still to be looked into, by their bound, and the best answer so far, its cost the true one."""

    def __init__(
        self, items: Sequence[Tiers], solve: Solver[Answer], guess: Guesser | None, known: Sequence[Cheapest[Answer]]
    ) -> None:
        self.items = items
        self.solve = solve
        self.guess = guess
        self.open: list[_Choice] = []
        self.best: Cheapest[Answer] | None = min(known, key=lambda one: one.cost, default=None)
        self.asked = 0
        self.guessed = 0
        self._order = count()

    def affordable(self, tiers: Tiers) -> int:
        """Return the place behind the last tier whose pieces alone are not dearer than the best answer."""
        if self.best is None:
            return len(tiers)
        dearest = self.best.cost
        return max(place for place, one in enumerate(tiers, 1) if place == 1 or one.least * (one.price or 0) < dearest)

    def is_worked_out(self, most_solved: int | None) -> bool:
        """Whether there is an answer, and no more questions or guesses are to be made."""
        solved = most_solved is not None and self.asked >= most_solved
        return self.best is not None and (solved or self.guessed >= MOST_GUESSED)

    def is_beaten(self, bound: int) -> bool:
        """Whether nothing with such a bound is cheaper than the best answer."""
        return self.best is not None and bound >= self.best.cost

    def look_at(self, tiers_open: tuple[OpenTiers, ...], at_least: int) -> None:
        """Guess at the tiers that are open, or solve for them; `at_least` is a bound that is known for them."""
        terms = self._terms(tiers_open)
        constant = sum(one.constant for one in terms)
        bound = max(constant, at_least)
        if self.is_beaten(bound):
            return
        cutoff = None if self.best is None else self.best.cost - constant
        guess = None
        if self.guess is not None:
            guess = self.guess(terms, cutoff)
            self.guessed += 1
        choice = _Choice(bound, next(self._order), tiers_open, guess.counts if guess else None, False, self.asked)
        if guess is None:
            self.ask(choice)
        elif not self.is_beaten(bound := max(bound, constant + guess.bound)):
            heapq.heappush(self.open, choice._replace(bound=bound))

    def ask(self, choice: _Choice) -> None:
        """Solve for the tiers that are open, unless the guess can be made better by what was solved since."""
        if self.asked > choice.asked:
            self.look_at(choice.tiers_open, choice.bound)
            return
        terms = self._terms(choice.tiers_open)
        self.asked += 1
        solved = self.solve(terms)
        if solved is None:
            return
        cost = true_cost(self.items, terms, solved)
        if not self.is_beaten(cost):
            self.best = Cheapest(answer=solved.answer, counts=solved.counts, cost=cost, bound=0)
        bound = max(choice.bound, sum(one.constant for one in terms) + solved.bound)
        heapq.heappush(self.open, _Choice(bound, next(self._order), choice.tiers_open, solved.counts, True, self.asked))

    def _terms(self, tiers_open: tuple[OpenTiers, ...]) -> tuple[Terms, ...]:
        return tuple(_terms(tiers, one) for tiers, one in zip(self.items, tiers_open, strict=True))


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
