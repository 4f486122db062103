"""The steps a proof is made of, each against counting everything out."""

from itertools import product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.buying.cutting.board_counts import BoardCounts
from estimator.buying.cutting.bound import Weighing, next_attainable, weights_bound
from estimator.buying.cutting.count_table import CountTable
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Problem, binary_split, reachable_sums
from estimator.buying.cutting.rounding import Row, rounded, sharper_rows
from estimator.buying.cutting.search import Search, counts_so_far

PRICES = st.lists(st.integers(0, 30), min_size=1, max_size=4).filter(any)


@given(st.integers(0, 500))
def test_bundles_make_every_number_up_to_the_count(count: int) -> None:
    sums = {0}
    for bundle in binary_split(count):
        sums |= {done + bundle for done in sums}
    assert sums == set(range(count + 1))


@given(st.lists(st.tuples(st.integers(1, 12), st.integers(0, 4)), min_size=1, max_size=4), st.integers(0, 60))
def test_reachable_sums_are_those_of_all_selections(parts: list[tuple[int, int]], most: int) -> None:
    sizes, demand = [size for size, _ in parts], [wanted for _, wanted in parts]
    selections = product(*(range(wanted + 1) for wanted in demand))
    expected = {sum(s * n for s, n in zip(sizes, counts, strict=True)) for counts in selections}
    bits = reachable_sums(sizes, demand, most)
    assert {n for n in range(most + 1) if bits >> n & 1} == {n for n in expected if n <= most}
    assert bits < 1 << (most + 1)


@given(PRICES, st.integers(0, 120))
def test_the_next_attainable_cost_is_the_least_sum_of_prices_from_there_on(prices: list[int], cost: int) -> None:
    sums = {0}
    for price in filter(None, prices):
        sums |= {total + count * price for total in sums for count in range(160 // price + 1) if total < 160}
    assert next_attainable(prices, 1, cost) == min(total for total in sums if total >= cost)


@given(
    st.lists(st.tuples(st.integers(1, 20), st.integers(0, 3), st.integers(0, 50)), min_size=1, max_size=4),
    st.lists(st.integers(1, 60), min_size=1, max_size=3),
)
def test_the_knapsack_fills_every_board_as_well_as_any_pattern(
    parts: list[tuple[int, int, int]], capacities: list[int]
) -> None:
    sizes, demand, weights = ([part[n] for part in parts] for n in range(3))
    assume(any(demand))
    oracle = KnapsackOracle(sizes, capacities)
    priced = oracle.within(demand).price(weights)
    for stock, capacity in enumerate(capacities):
        worth = [
            sum(w * n for w, n in zip(weights, counts, strict=True))
            for counts in product(*(range(wanted + 1) for wanted in demand))
            if sum(s * n for s, n in zip(sizes, counts, strict=True)) <= capacity
        ]
        pattern = priced.pattern(stock)
        assert priced.values[stock] == max(worth)
        assert sum(w * n for w, n in zip(weights, pattern, strict=True)) == max(worth)
        assert all(n <= wanted for n, wanted in zip(pattern, demand, strict=True))
        assert oracle.fits(pattern, stock)


@given(st.lists(st.integers(0, 40), min_size=2, max_size=3), st.integers(1, 90), st.integers(1, 45), st.data())
def test_a_rounded_row_forbids_no_whole_counts_that_meet_the_row(
    values: list[int], needed: int, base: int, data: st.DataObject
) -> None:
    row = Row(values=tuple(values), needed=needed)
    counts = data.draw(st.tuples(*(st.integers(0, 30) for _ in values)))
    assume(row.met_by(counts) and needed % base)
    assert rounded(row, base).met_by(counts)


@given(st.lists(st.integers(0, 40), min_size=2, max_size=4).filter(any), st.integers(1, 300), st.data())
def test_sharper_rows_forbid_no_whole_counts_under_the_ceilings_that_meet_the_row(
    values: list[int], needed: int, data: st.DataObject
) -> None:
    row = Row(values=tuple(values), needed=needed)
    ceilings = data.draw(st.tuples(*(st.integers(0, 9) for _ in values)))
    point = [data.draw(st.floats(0, ceiling)) for ceiling in ceilings]
    allowed = [counts for counts in product(*(range(n + 1) for n in ceilings)) if row.met_by(counts)]
    assert all(sharp.met_by(counts) for sharp in sharper_rows(row, point, ceilings) for counts in allowed)


def test_offcuts_that_are_used_up_are_worth_no_more_than_the_board_each_saves() -> None:
    # 7 u + 9 k >= 226 with k <= 4 needs u >= 28 - k at best, and one board more for each offcut left on the rack.
    (sharp, *_) = sharper_rows(Row(values=(7, 9), needed=226), (27 + 1 / 7, 4), (99, 4))
    assert [sharp.met_by((28, 4)), sharp.met_by((27, 4)), sharp.met_by((28, 3)), sharp.met_by((29, 3))] == [
        True,
        False,
        False,
        True,
    ]


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_board_counts_are_the_cheapest_of_all_that_meet_the_rows(data: st.DataObject) -> None:
    stocks = data.draw(st.integers(1, 3))
    prices = data.draw(st.tuples(*(st.integers(0, 12) for _ in range(stocks))).filter(any))
    ceilings = data.draw(st.tuples(*(st.integers(0, 7) for _ in range(stocks))))
    values = st.tuples(*(st.integers(0, 9) for _ in range(stocks)))
    rows = [
        Row(values=data.draw(values), needed=data.draw(st.integers(0, 30))) for _ in range(data.draw(st.integers(1, 4)))
    ]
    every = product(*(range(ceiling + 1) for ceiling in ceilings))
    good = [counts for counts in every if all(row.met_by(counts) for row in rows)]
    costs = [sum(p * n for p, n in zip(prices, counts, strict=True)) for counts in good]
    cutoff = data.draw(st.integers(1, 150))
    tree = BoardCounts(prices=prices, step=1, ceilings=ceilings, cutoff=cutoff, rows=rows)
    assert tree.bound <= min([*costs, cutoff])
    if data.draw(st.booleans()):
        tree.sharpen()
    least = tree.cheapest(cutoff=cutoff)
    assert least.bound == min([*costs, cutoff])
    if least.bound < cutoff:
        assert least.counts in good
        again = tree.cheapest(cutoff=cutoff, tried=[least.counts])
        others = [cost for cost, counts in zip(costs, good, strict=True) if counts != least.counts]
        assert again.bound == min([*others, cutoff])


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_a_table_of_counts_finds_the_cheapest_to_the_last_unit_of_a_row(data: st.DataObject) -> None:
    # Weights are as large as 60 bits, where floats are off by hundreds: rows met or missed by a single unit must tell.
    stocks = data.draw(st.integers(1, 3))
    prices = data.draw(st.tuples(*(st.integers(0, 12) for _ in range(stocks))))
    lower = data.draw(st.tuples(*(st.integers(0, 2) for _ in range(stocks))))
    upper = tuple(low + data.draw(st.integers(0, 6)) for low in lower)
    scale = data.draw(st.sampled_from([1, 10**6, 2**56]))
    values = st.tuples(*(st.integers(0, 9).map(lambda count: count * scale) for _ in range(stocks)))
    off = st.integers(-1, 1)
    rows = [
        Row(values=data.draw(values), needed=max(0, data.draw(st.integers(0, 40)) * scale + data.draw(off)))
        for _ in range(data.draw(st.integers(1, 4)))
    ]
    every = list(product(*(range(low, high + 1) for low, high in zip(lower, upper, strict=True))))
    cutoff = data.draw(st.integers(1, 150))
    table = CountTable(prices=prices, lower=lower, upper=upper, rows=rows[:1])
    for known in range(1, len(rows) + 1):
        table.add(rows[known - 1])
        good = [counts for counts in every if all(row.met_by(counts) for row in rows[:known])]
        costs = {counts: sum(p * n for p, n in zip(prices, counts, strict=True)) for counts in good}
        least = table.cheapest(cutoff=cutoff)
        assert least.bound == min([*costs.values(), cutoff])
        if least.counts is not None:
            assert costs[least.counts] == least.bound
            again = table.cheapest(cutoff=cutoff, tried=[least.counts])
            assert again.bound == min([*(cost for counts, cost in costs.items() if counts != least.counts), cutoff])


@given(st.data())
def test_no_weights_whatever_prove_more_than_a_plan_costs(data: st.DataObject) -> None:
    # Two parts; the plan buys each stock up to its limit, so it may be far from cheapest: the bound holds all the same.
    sizes = data.draw(st.tuples(st.integers(1, 9), st.integers(1, 9)))
    capacities = data.draw(st.tuples(st.integers(9, 20), st.integers(9, 20)))
    prices = data.draw(st.tuples(st.integers(0, 20), st.integers(0, 20)))
    patterns = [
        [n for n in product(range(5), repeat=2) if sizes[0] * n[0] + sizes[1] * n[1] <= capacity]
        for capacity in capacities
    ]
    boards = [data.draw(st.lists(st.sampled_from(fitting), max_size=4)) for fitting in patterns]
    demand = (sum(n[0] for stock in boards for n in stock), sum(n[1] for stock in boards for n in stock))
    assume(all(demand))
    limits = tuple(data.draw(st.sampled_from([None, len(stock)])) for stock in boards)
    problem = Problem(sizes=sizes, demand=demand, prices=prices, limits=limits)
    weights = data.draw(st.tuples(st.integers(0, 1000), st.integers(0, 1000)))
    priced = KnapsackOracle(sizes, capacities).within(demand).price(weights)
    weighing = Weighing(weights=weights, values=tuple(priced.values), scale=data.draw(st.integers(1, 100)))
    cost = sum(price * len(stock) for price, stock in zip(prices, boards, strict=True))
    assert weights_bound(problem, weighing) <= cost


@settings(deadline=None, max_examples=100)
@given(st.data())
def test_counts_of_limited_stock_hold_before_any_plan_is_known(data: st.DataObject) -> None:
    # One part; the dearest counts there are may be the only ones that carry it, and must not be cut off.
    stocks = data.draw(st.integers(1, 3))
    prices = data.draw(st.tuples(*(st.integers(1, 9).map(lambda price: 50 * price) for _ in range(stocks))))
    limits = data.draw(st.tuples(*(st.integers(1, 3) for _ in range(stocks))))
    capacities = data.draw(st.tuples(*(st.integers(10, 40) for _ in range(stocks))))
    carried = [capacity // 10 for capacity in capacities]
    demand = data.draw(st.integers(1, sum(n * most for n, most in zip(limits, carried, strict=True))))
    problem = Problem(sizes=(10,), demand=(demand,), prices=prices, limits=limits)
    search = Search(problem, KnapsackOracle((10,), capacities))
    search.rows.append(Row(values=tuple(10 * most for most in carried), needed=10 * demand))
    every = product(*(range(limit + 1) for limit in limits))
    costs = [
        sum(price * count for price, count in zip(prices, counts, strict=True))
        for counts in every
        if sum(count * most for count, most in zip(counts, carried, strict=True)) >= demand
    ]
    tree = counts_so_far(search)
    assert (tree.table() or tree).cheapest(cutoff=search.cost).bound == min(costs)
