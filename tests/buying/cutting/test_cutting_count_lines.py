"""Board counts looked at cost by cost, held against all counts that there are."""

from itertools import product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.buying.cutting.count_lines import CountLines, from_the_middle
from estimator.buying.cutting.rounding import Row


def lines(prices: tuple[int, ...], upper: tuple[int, ...], rows: list[Row]) -> CountLines:
    """Return all counts up to the upper bounds, with nothing known of what boards cost beyond what they carry."""
    dear = float(sum(price * most for price, most in zip(prices, upper, strict=True)))
    first, second, *_ = (stock for stock, price in enumerate(prices) if price)
    return CountLines(
        prices=prices,
        step=1,
        lower=(0,) * len(prices),
        upper=upper,
        rows=rows,
        least=0,
        spare=dear,
        dearer=(0.0,) * len(prices),
        bulk=(first, second),
        near=(0.0,) * len(prices),
    )


def test_two_prices_give_all_the_counts_of_one_cost() -> None:
    # 3 a + 5 b = 31: (2, 5) and (7, 2).
    assert sorted(lines((3, 5), (99, 99), []).of_cost(31)) == [(2, 5), (7, 2)]


def test_a_row_leaves_a_stretch_of_the_line() -> None:
    # Of these, a + 2 b >= 12 leaves (2, 5).
    assert list(lines((3, 5), (99, 99), [Row(values=(1, 2), needed=12)]).of_cost(31)) == [(2, 5)]


def test_counts_far_from_both_ends_of_a_line_come_first() -> None:
    assert from_the_middle(range(10, 15)) == [12, 11, 13, 10, 14]


def test_boards_that_cost_more_than_there_is_to_spare_are_left_out() -> None:
    # A board of the third kind costs 4 beyond what it carries, one of the fourth less than full costs 3.
    counts = CountLines(
        prices=(3, 5, 4, 2),
        step=1,
        lower=(0, 0, 0, 0),
        upper=(9, 9, 5, 2),
        rows=[],
        least=20.0,
        spare=8.0,
        dearer=(0.0, 0.0, 4.0, -3.0),
        bulk=(0, 1),
        near=(0.0,) * 4,
    )
    found = set(counts.of_cost(25))
    assert {(third, fourth) for _, _, third, fourth in found} == {(0, 1), (0, 2), (1, 2)}


@settings(deadline=None, max_examples=200)
@given(st.data())
def test_counts_on_lines_are_the_cheapest_of_all_that_meet_the_rows(data: st.DataObject) -> None:
    stocks = data.draw(st.integers(2, 4))
    prices = data.draw(st.tuples(*[st.integers(0, 12)] * stocks))
    assume(sum(price > 0 for price in prices) > 1)
    upper = data.draw(st.tuples(*[st.integers(0, 5)] * stocks))
    values = st.tuples(*[st.integers(0, 30)] * stocks)
    rows = [Row(values=data.draw(values), needed=data.draw(st.integers(1, 90))) for _ in range(3)]
    cutoff = data.draw(st.integers(1, 90))
    meeting = sorted(
        (sum(price * count for price, count in zip(prices, counts, strict=True)), counts)
        for counts in product(*(range(most + 1) for most in upper))
        if all(row.met_by(counts) for row in rows)
    )
    tried = [counts for _, counts in meeting[:1]] if data.draw(st.booleans()) else []
    costs = [cost for cost, counts in meeting if counts not in tried and cost < cutoff]
    least = lines(prices, upper, rows).cheapest(cutoff=cutoff, tried=tried)
    assert least.bound == min(costs, default=cutoff)
    assert (least.counts is None) == (not costs)
    assert least.counts is None or (least.bound, least.counts) in meeting


@settings(deadline=None, max_examples=100)
@given(st.integers(100, 10**6), st.integers(100, 10**6), st.integers(0, 40), st.integers(0, 40), st.data())
def test_a_line_is_cut_off_to_the_last_unit_of_a_row(
    price: int, other: int, first: int, second: int, data: st.DataObject
) -> None:
    cost = price * first + other * second
    values = data.draw(st.tuples(st.integers(1, 2**58), st.integers(1, 2**58)))
    carried = values[0] * first + values[1] * second
    assume(carried > 0)
    exact = lines((price, other), (60, 60), [Row(values=values, needed=carried)])
    assert (first, second) in set(exact.of_cost(cost))


def test_prices_whose_products_leave_64_bits_claim_nothing() -> None:
    # (1, 1) costs 2**33; the products on its line would be above 2**64.
    counts = lines((2**32 + 1, 2**32 - 1), (3, 3), [Row(values=(1, 1), needed=2)])
    assert not counts.is_complete
    assert list(counts.of_cost(2**33)) == []
    assert counts.cheapest(cutoff=2**35).bound <= 2**33 - 2
