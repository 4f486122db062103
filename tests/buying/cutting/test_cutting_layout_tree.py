"""Whole boards from every layout, held against trying all ways, and the proofs they give."""

from math import inf

from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.cutting.affordable import all_rows, allowance
from estimator.buying.cutting.bound import Weighing
from estimator.buying.cutting.greedy import without_surplus
from estimator.buying.cutting.layout_tree import LayoutTree
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Problem, Run
from estimator.buying.cutting.search import Search
from estimator.buying.cutting.small_jobs import cheapest_of_all
from estimator.buying.cutting.steps import fill_greedily, look_at_every_layout, relax, weigh_simply

LENGTHS = (44, 33, 12)  # a third, a quarter and an eleventh of a board of 132


def gap_of_one(limit: int | None = None) -> tuple[Problem, KnapsackOracle]:
    """Return pieces for boards of 132 that fill 5/3 + 7/4 + 17/11 = 4.96 of them, but take six.

    2, 3 and 6 of them, for which fractions of boards say 1.96 and whole ones 3: Fieldhouse 1990, The duality gap in
    trim problems, SICUP Bulletin 5, from memory. Here with three boards full of one length more.
    """
    return (
        Problem(sizes=LENGTHS, demand=(5, 7, 17), prices=(1,), limits=(limit,)),
        KnapsackOracle(LENGTHS, (132,)),
    )


def whole_tree(problem: Problem, oracle: KnapsackOracle, cutoff: int) -> LayoutTree:
    """Return the tree of all layouts."""
    nothing = Weighing(weights=(0,) * len(problem.demand), values=(0,) * len(problem.prices), scale=1)
    everything = allowance(problem, nothing, cutoff)
    columns = all_rows(problem, oracle.sizes, oracle.capacities, everything, 10_000)
    assert columns is not None
    return LayoutTree(problem, columns, cutoff)


def test_a_plan_that_rounds_worse_than_the_linear_programme_is_proved() -> None:
    problem, oracle = gap_of_one()
    tree = whole_tree(problem, oracle, cutoff=6)
    assert list(tree.look(1000)) == []
    assert tree.bound == 6


def test_the_bound_rises_branch_by_branch_to_the_cheapest_plan() -> None:
    # The cheapest plan costs 26, by trying all ways.
    problem = Problem(sizes=(13, 9, 5), demand=(5, 5, 4), prices=(6, 7), limits=(None, 3))
    oracle = KnapsackOracle(problem.sizes, (27, 40))
    best = cheapest_of_all(problem, oracle)
    assert best is not None
    tree = whole_tree(problem, oracle, best.cost)
    bounds = [tree.bound]
    while tree.bound < best.cost:
        assert list(tree.look(1)) == []
        bounds.append(tree.bound)
    assert bounds[0] < best.cost
    assert bounds == sorted(bounds)
    assert bounds[-1] == best.cost


def test_no_layouts_prove_that_no_plan_is_cheaper() -> None:
    problem, _ = gap_of_one()
    assert LayoutTree(problem, [], cutoff=3).bound == 3


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_all_layouts_give_the_cheapest_of_all_plans(data: st.DataObject) -> None:
    sizes = tuple(sorted(data.draw(st.sets(st.integers(2, 12), min_size=1, max_size=3)), reverse=True))
    demand = data.draw(st.tuples(*[st.integers(1, 4)] * len(sizes)))
    stocks = data.draw(st.integers(1, 3))
    capacities = data.draw(st.tuples(*[st.integers(12, 25)] * stocks))
    prices = data.draw(st.tuples(*[st.integers(1, 9)] * stocks))
    limits = data.draw(st.tuples(*[st.one_of(st.none(), st.integers(1, 3))] * stocks))
    problem = Problem(sizes=sizes, demand=demand, prices=prices, limits=limits)
    oracle = KnapsackOracle(sizes, capacities)
    best = cheapest_of_all(problem, oracle)
    assert best is not None
    dearest = 1 + sum(prices) * sum(demand)
    tree = whole_tree(problem, oracle, dearest)
    plans = list(tree.look(2000))
    costs = [sum(prices[run.stock] * run.boards for run in runs) for runs in plans]
    assert tree.bound == min(best.cost if best.runs else dearest, dearest)
    assert min(costs, default=inf) == (best.cost if best.runs else inf)
    for runs in plans:
        kept, left = without_surplus(runs, demand)
        assert not any(left)
        assert all(oracle.fits(run.pattern, run.stock) for run in kept)
        for stock, limit in enumerate(limits):
            assert limit is None or sum(run.boards for run in kept if run.stock == stock) <= limit


def test_pieces_cut_too_often_are_left_off_the_last_boards() -> None:
    runs, left = without_surplus([Run(stock=0, pattern=(2, 1), boards=2)], (3, 1))
    assert [run.pattern for run in runs] == [(2, 1), (1, 0)]
    assert left == (0, 0)


def test_looking_at_every_layout_settles_what_rounding_leaves_open() -> None:
    search = Search(*gap_of_one())
    for step in (fill_greedily, weigh_simply, relax):
        step(search)
    assert (search.bound, search.cost) == (5, 6)
    look_at_every_layout(search)
    assert search.settled
