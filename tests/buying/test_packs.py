from decimal import Decimal
from fractions import Fraction
from itertools import product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.packs import Pack, cheapest_of_each_size, cheapest_packs


def packs_of(*offers: tuple[int, int]) -> tuple[Pack, ...]:
    return tuple(Pack(size=size, price=price) for size, price in offers)


def content(counts: tuple[int, ...], packs: tuple[Pack, ...]) -> int:
    return sum(count * pack.size for count, pack in zip(counts, packs, strict=True))


def cost(counts: tuple[int, ...], packs: tuple[Pack, ...]) -> int:
    return sum(count * pack.price for count, pack in zip(counts, packs, strict=True))


def least_by_trying_all(need: int, packs: tuple[Pack, ...]) -> tuple[int, int]:
    """Money and number of packs of the best choice, by trying every choice worth a look."""
    return min(
        (cost(counts, packs), sum(counts))
        for counts in product(*(range(-(-need // pack.size) + 1) for pack in packs))
        if content(counts, packs) >= need
    )


def least_by_plain_table(need: int, packs: tuple[Pack, ...]) -> tuple[int, int]:
    """The same by adding one pack at a time to every amount up to the need."""
    best = [(0, 0)]
    for amount in range(1, need + 1):
        options = [(best[max(0, amount - pack.size)], pack.price) for pack in packs]
        best.append(min((money + price, number + 1) for (money, number), price in options))
    return best[need]


def test_thousands_of_small_choices_are_as_cheap_as_the_best_there_is() -> None:
    random = Random(20260302)  # noqa: S311 - cases for a test, no secret
    for _ in range(4000):
        packs = packs_of(*((random.randint(1, 8), random.randint(1, 20)) for _ in range(random.randint(1, 3))))
        need = random.randint(0, 16)
        counts = cheapest_packs(need, packs)
        assert content(counts, packs) >= need
        assert (cost(counts, packs), sum(counts)) == least_by_trying_all(need, packs), (need, packs)


@settings(max_examples=400, deadline=None)
@given(
    need=st.integers(0, 2500),
    offers=st.lists(st.tuples(st.integers(1, 30), st.integers(1, 200)), min_size=1, max_size=4),
)
def test_the_short_cut_for_large_needs_loses_nothing(need: int, offers: list[tuple[int, int]]) -> None:
    packs = packs_of(*offers)
    counts = cheapest_packs(need, packs)
    assert content(counts, packs) >= need
    assert (cost(counts, packs), sum(counts)) == least_by_plain_table(need, packs)


@settings(max_examples=300, deadline=None)
@given(
    need=st.integers(0, 1500),
    sizes=st.lists(st.integers(1, 25), min_size=2, max_size=4, unique=True),
    rate=st.integers(1, 5),
    dearer=st.lists(st.integers(0, 1), min_size=4, max_size=4),
)
def test_packs_of_nearly_one_rate_are_no_trap(need: int, sizes: list[int], rate: int, dearer: list[int]) -> None:
    # The bound on what comes in other packs is weakest where they are hardly dearer than the best one.
    packs = packs_of(*((size, rate * size + more) for size, more in zip(sizes, dearer, strict=False)))
    counts = cheapest_packs(need, packs)
    assert content(counts, packs) >= need
    assert (cost(counts, packs), sum(counts)) == least_by_plain_table(need, packs)


@pytest.mark.parametrize(
    ("need", "offers", "counts"),
    [
        (0, [(25, 360), (100, 1100)], (0, 0)),
        (26, [(25, 360), (100, 1100)], (2, 0)),  # 7.20 against 11.00
        (76, [(25, 360), (100, 1100)], (0, 1)),  # 14.40 against 11.00
        (101, [(25, 360), (100, 1100)], (1, 1)),  # 14.60: one of each
        (50, [(50, 700), (25, 350)], (1, 0)),  # equal money: one pack rather than two
        (1, [(1000, 999)], (1,)),
        (7, [(3, 10), (5, 10)], (1, 1)),  # equal money and number with two of 5: the one listed first
    ],
)
def test_choices_that_can_be_seen_at_a_glance(
    need: int, offers: list[tuple[int, int]], counts: tuple[int, ...]
) -> None:
    assert cheapest_packs(need, packs_of(*offers)) == counts


def test_a_need_of_billions_is_no_more_work() -> None:
    # 18927 ml and 946 ml cans share no step; a table up to the need could not be held.
    packs = packs_of((946, 2490), (3785, 7850), (18927, 34500))
    counts = cheapest_packs(10**10, packs)
    best_cans_alone = -(-(10**10) // 18927) * 34500
    assert content(counts, packs) >= 10**10
    assert cost(counts, packs) * 18927 >= 10**10 * 34500  # not under the best rate
    assert cost(counts, packs) <= best_cans_alone


def test_of_equal_sizes_the_cheapest_offer_is_looked_at() -> None:
    offers = [(Fraction(100), Decimal("11.00")), (Fraction(25), Decimal("3.60")), (Fraction(100), Decimal("10.90"))]
    assert cheapest_of_each_size(offers) == [1, 2]
    assert cheapest_of_each_size([(Fraction(5), Decimal(2)), (Fraction(5), Decimal(2))]) == [0]
