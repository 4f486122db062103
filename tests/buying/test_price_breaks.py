from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.price_breaks import (
    Cheapest,
    Guess,
    Solved,
    Terms,
    Tier,
    Tiers,
    cheapest_answer,
    cost_of,
    paid_for,
    settled_terms,
    tiers_of,
)


def test_tiers_begin_at_none_and_leave_out_what_is_never_paid() -> None:
    assert tiers_of([(1, 10)]) == (Tier(0, 10),)
    assert tiers_of([(10, 8), (1, 10), (25, 7)]) == (Tier(0, 10), Tier(10, 8), Tier(25, 7))
    assert tiers_of([(1, 10), (5, 11), (10, 10)]) == (Tier(0, 10),)  # more that cost no less
    assert tiers_of([(10, 8)]) == (Tier(0, None), Tier(10, 8))  # fewer than ten are not sold


@pytest.mark.parametrize(
    ("needed", "pieces", "cost"), [(0, 0, 0), (7, 7, 70), (8, 8, 80), (9, 10, 80), (10, 10, 80), (11, 11, 88)]
)
def test_more_are_paid_for_where_they_cost_less(needed: int, pieces: int, cost: int) -> None:
    # At 10 each, 8 from ten on: eight and ten both cost 80, so eight are bought; nine would be 90.
    tiers = tiers_of([(1, 10), (10, 8)])
    assert paid_for(tiers, needed)[1] == pieces
    assert cost_of(tiers, needed) == cost


def test_what_is_sold_from_ten_on_alone_takes_ten() -> None:
    tiers = tiers_of([(10, 8)])
    assert (paid_for(tiers, 3), cost_of(tiers, 3), cost_of(tiers, 0)) == ((1, 10), 80, 0)
    assert (settled_terms(tiers, 3), settled_terms(tiers, 0)) == (Terms(10, 8), Terms(0, None))


class Covering:
    """A toy to be solved under terms: the cheapest numbers of items of some sizes that add up to a need.

    With `slack` its bound is so much below its answer, as that of a search that is given up.
    """

    def __init__(self, need: int, sizes: list[int], slack: int = 0) -> None:
        self.need = need
        self.sizes = sizes
        self.slack = slack
        self.asked = 0

    def solve(self, terms: tuple[Terms, ...]) -> Solved[None] | None:
        self.asked += 1
        most = [-(-self.need // size) for size in self.sizes]
        answers = [
            (sum(max(0, n - one.paid) * (one.price or 0) for n, one in zip(counts, terms, strict=True)), counts)
            for counts in product(*(range(number + 1) for number in most))
            if sum(n * size for n, size in zip(counts, self.sizes, strict=True)) >= self.need
            and all(n <= one.paid or one.price is not None for n, one in zip(counts, terms, strict=True))
        ]
        if not answers:
            return None
        cost, counts = min(answers)
        return Solved(answer=None, counts=counts, cost=cost, bound=max(0, cost - self.slack))

    def least(self, items: list[Tiers]) -> int:
        """The least true cost, by trying all numbers."""
        most = [-(-self.need // size) for size in self.sizes]
        return min(
            sum(cost_of(tiers, n) for tiers, n in zip(items, counts, strict=True))
            for counts in product(*(range(number + 1) for number in most))
            if sum(n * size for n, size in zip(counts, self.sizes, strict=True)) >= self.need
        )


price_lists = st.lists(
    st.tuples(st.integers(1, 7), st.integers(1, 25)), min_size=1, max_size=3, unique_by=lambda one: one[0]
)
offers = st.lists(st.tuples(st.integers(1, 5), price_lists), min_size=1, max_size=3)


@settings(max_examples=300, deadline=None)
@given(need=st.integers(0, 12), offers=offers)
def test_the_search_over_tiers_is_exact(need: int, offers: list[tuple[int, list[tuple[int, int]]]]) -> None:
    items = [tiers_of(prices) for _, prices in offers]
    toy = Covering(need, [size for size, _ in offers])
    best = cheapest_answer(items, toy.solve)
    assert best is not None
    assert best.cost == best.bound == toy.least(items)
    assert best.cost == sum(cost_of(tiers, n) for tiers, n in zip(items, best.counts, strict=True))


@settings(max_examples=150, deadline=None)
@given(need=st.integers(1, 12), offers=offers, slack=st.integers(0, 9), most=st.integers(1, 4))
def test_what_is_not_solved_to_the_end_counts_by_its_bound(
    need: int, offers: list[tuple[int, list[tuple[int, int]]]], slack: int, most: int
) -> None:
    items = [tiers_of(prices) for _, prices in offers]
    toy = Covering(need, [size for size, _ in offers], slack)
    best = cheapest_answer(items, toy.solve, most)
    assert best is not None
    assert toy.asked <= most + 1  # both halves of what is branched on are looked at
    assert best.bound <= toy.least(items) <= best.cost


def test_a_tier_that_is_earned_at_once_asks_once() -> None:
    toy = Covering(12, [1])
    best = cheapest_answer([tiers_of([(1, 10), (10, 8)])], toy.solve)
    assert best is not None
    assert (best.cost, toy.asked) == (96, 1)


class Guessing(Covering):
    """The same toy with guesses: none before the first question, then the very answer or a bound below it."""

    def __init__(self, need: int, sizes: list[int], slack: int, off: int) -> None:
        super().__init__(need, sizes, slack)
        self.off = off

    def guess(self, terms: tuple[Terms, ...], cutoff: int | None) -> Guess | None:
        if not self.asked:
            return None
        asked, solved = self.asked, self.solve(terms)
        self.asked = asked
        if solved is None:
            return Guess(cutoff or 0, None)
        bound = max(0, solved.cost - self.off)
        return Guess(bound, None if cutoff is not None and bound >= cutoff else solved.counts)


@settings(max_examples=300, deadline=None)
@given(need=st.integers(1, 12), offers=offers, off=st.integers(0, 6), slack=st.integers(0, 4), at_first=st.booleans())
def test_guesses_save_questions_and_change_no_answer(
    *, need: int, offers: list[tuple[int, list[tuple[int, int]]]], off: int, slack: int, at_first: bool
) -> None:
    items, sizes = [tiers_of(prices) for _, prices in offers], [size for size, _ in offers]
    toy, plain = Guessing(need, sizes, slack, off), Covering(need, sizes, slack)
    known = []
    if at_first:  # as many of the first item as will do
        counts = (-(-need // sizes[0]), *[0] * (len(items) - 1))
        cost = sum(cost_of(tiers, n) for tiers, n in zip(items, counts, strict=True))
        known = [Cheapest(answer=None, counts=counts, cost=cost, bound=0)]
    best = cheapest_answer(items, toy.solve, guess=toy.guess, known=known)
    without = cheapest_answer(items, plain.solve)
    assert best is not None
    assert without is not None
    assert best.bound <= toy.least(items) <= best.cost
    if not slack:
        assert best.cost == best.bound == without.cost
        assert toy.asked <= plain.asked


def test_an_answer_that_is_known_to_be_cheapest_needs_no_question() -> None:
    toy = Guessing(9, [1], 0, 0)
    toy.asked = 1  # so that it guesses at once
    best = cheapest_answer(
        [tiers_of([(1, 10), (10, 8)])],
        toy.solve,
        guess=toy.guess,
        known=[Cheapest(answer=None, counts=(9,), cost=80, bound=0)],
    )
    assert best is not None
    assert (best.cost, best.bound, toy.asked) == (80, 80, 1)
