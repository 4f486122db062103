from fractions import Fraction
from itertools import product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.packs import Pack, cheapest_packs, most_for_less, worth_a_look
from estimator.buying.price_breaks import Tiers, cost_of, tiers_of
from estimator.units import L_PER_GAL, common_step


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


def looked_at(*offers: tuple[int, list[tuple[int, int]]]) -> list[int]:
    return worth_a_look([(Fraction(size), tiers_of(prices)) for size, prices in offers])


def test_of_equal_sizes_the_cheapest_offer_is_looked_at() -> None:
    assert looked_at((100, [(1, 1100)]), (25, [(1, 360)]), (100, [(1, 1090)])) == [1, 2]
    assert looked_at((5, [(1, 2)]), (5, [(1, 2)])) == [0]


def test_an_offer_with_price_breaks_is_dropped_only_for_one_that_is_never_dearer() -> None:
    broken = (5, [(1, 12), (10, 9)])
    assert looked_at(broken, (5, [(1, 10)])) == [0, 1]
    assert looked_at(broken, (5, [(1, 9)])) == [1]
    assert looked_at(broken, (5, [(20, 8)])) == [0, 1]  # fewer than 20 are not sold


def broken_packs_of(*offers: tuple[int, list[tuple[int, int]]]) -> tuple[Pack, ...]:
    return tuple(Pack(size=size, breaks=tiers_of(prices)) for size, prices in offers)


def test_more_are_bought_where_the_price_for_more_makes_them_cheaper() -> None:
    # Nine at 10 are 90, ten at 8 are 80. Seven at 10 are 70.
    packs = broken_packs_of((1, [(1, 10), (10, 8)]))
    assert [cheapest_packs(need, packs) for need in (7, 9, 10, 11)] == [(7,), (10,), (10,), (11,)]


def test_packs_that_are_sold_from_some_number_on_are_bought_in_that_number_or_not_at_all() -> None:
    # Five of 20 at 3 are 15; four packs of 2 at 4 are 16, three 12.
    packs = broken_packs_of((20, [(5, 3)]), (2, [(1, 4)]))
    assert cheapest_packs(6, packs) == (0, 3)
    assert cheapest_packs(8, packs) == (5, 0)


Prices = list[tuple[int, int]]
price_lists = st.lists(
    st.tuples(st.integers(1, 6), st.integers(1, 30)), min_size=1, max_size=3, unique_by=lambda one: one[0]
)
broken_offers = st.lists(st.tuples(st.integers(1, 9), price_lists), min_size=1, max_size=3)


def true_cost(count: int, prices: Prices) -> int | None:
    """What a number of packs costs by the price list as it reads, None where so few are not sold."""
    held = [price for least, price in prices if least <= count]
    return count * min(held) if held else None if count else 0


def least_by_trying_all_breaks(need: int, offers: list[tuple[int, Prices]]) -> int:
    most = [max(-(-need // size), *(least for least, _ in prices)) for size, prices in offers]
    costs = []
    for counts in product(*(range(number + 1) for number in most)):
        if sum(count * size for count, (size, _) in zip(counts, offers, strict=True)) >= need:
            each = [true_cost(count, prices) for count, (_, prices) in zip(counts, offers, strict=True)]
            if None not in each:
                costs.append(sum(one for one in each if one is not None))
    return min(costs)


@settings(max_examples=300, deadline=None)
@given(need=st.integers(0, 14), offers=broken_offers)
def test_price_breaks_are_as_cheap_as_the_best_there_is(need: int, offers: list[tuple[int, Prices]]) -> None:
    packs = broken_packs_of(*offers)
    counts = cheapest_packs(need, packs)
    assert content(counts, packs) >= need
    paid = [true_cost(count, prices) for count, (_, prices) in zip(counts, offers, strict=True)]
    assert None not in paid
    assert sum(one or 0 for one in paid) == least_by_trying_all_breaks(need, offers)


@settings(max_examples=200, deadline=None)
@given(need=st.integers(1, 14), offers=broken_offers)
def test_of_all_that_cost_less_those_that_hold_most_are_found(need: int, offers: list[tuple[int, Prices]]) -> None:
    packs = broken_packs_of(*offers)
    tiers: list[Tiers] = [pack.tiers for pack in packs]
    price = least_by_trying_all_breaks(need, offers)
    counts = most_for_less(price, packs, below=need)
    costs = [cost_of(one, count) for one, count in zip(tiers, counts, strict=True)]
    assert sum(costs) < price or not any(counts)
    held = [
        sum(count * size for count, (size, _) in zip(tried, offers, strict=True))
        for tried in product(*(range(need + 1) for _ in offers))
        if sum(cost_of(one, count) for one, count in zip(tiers, tried, strict=True)) < price
    ]
    assert content(counts, packs) == max(held)


US_GAL = (Fraction(1, 128), Fraction(1, 32), Fraction(1, 4), Fraction(1))  # fl oz, cup, quart, gallon
METRIC_GAL = tuple(Fraction(ml) / 1000 / L_PER_GAL for ml in (125, 375, 750, 2500))


@settings(max_examples=300, deadline=None)
@given(
    cans=st.lists(
        st.tuples(st.sampled_from([*US_GAL, *METRIC_GAL]), st.integers(1, 400)), min_size=2, max_size=3, unique=True
    ),
    share=st.fractions(min_value=Fraction(1, 50), max_value=12, max_denominator=1000),
)
def test_cans_of_both_systems_are_chosen_by_their_exact_contents(
    cans: list[tuple[Fraction, int]], share: Fraction
) -> None:
    """Contents like these share no step above a millionth of a gallon, so that no table of amounts is looked up."""
    step = common_step(tuple(content for content, _ in cans))
    packs = packs_of(*((int(content / step), price) for content, price in cans))
    need = -(-share * min(pack.size for pack in packs) // 1)
    counts = cheapest_packs(int(need), packs)
    assert content(counts, packs) >= need
    assert cost(counts, packs) == least_by_trying_all(int(need), packs)[0]
