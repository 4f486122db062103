"""Steps of the search, each by itself: what it offers, what it proves."""

import pytest

from estimator.buying.cutting import search as searching
from estimator.buying.cutting import steps as stepping
from estimator.buying.cutting.master import Relaxed
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Problem, Run
from estimator.buying.cutting.search import Search
from estimator.buying.cutting.steps import (
    best_plan,
    complete_fractions,
    dive_for_better,
    fewest_boards,
    fill_fewest_boards,
    fill_greedily,
    keeps_to,
    relax,
    round_to_fewest_boards,
    settle_counts,
    settle_counts_again,
    unused,
    weigh_simply,
)


def boards_of_ten(demand: tuple[int, ...], limit: int | None = None) -> Search:
    """Return the search for pieces of 6, 5, 4, 3 and 2 from boards of 10."""
    sizes = (6, 5, 4, 3, 2)
    return Search(Problem(sizes=sizes, demand=demand, prices=(7,), limits=(limit,)), KnapsackOracle(sizes, (10,)))


def test_filling_proves_nothing_and_weighing_finds_no_plan() -> None:
    search = boards_of_ten((1, 1, 1, 1, 1))
    fill_greedily(search)
    assert (search.cost, search.bound) == (14, 0)
    search = boards_of_ten((1, 1, 1, 1, 1))
    weigh_simply(search)
    assert (search.runs, search.bound) == ((), 14)  # 20 units of material: two boards


def test_the_fewest_boards_of_one_length_follow_from_the_bound() -> None:
    search = boards_of_ten((3, 3, 3, 3, 3))
    weigh_simply(search)
    assert fewest_boards(search) == (6,)
    fill_fewest_boards(search)
    assert search.settled


def test_where_there_are_too_few_boards_none_are_filled() -> None:
    search = boards_of_ten((3, 3, 3, 3, 3), limit=5)
    weigh_simply(search)
    assert fewest_boards(search) == ()
    fill_fewest_boards(search)
    round_to_fewest_boards(search)
    assert not search.runs


def test_rounding_a_fractional_plan_keeps_to_the_fewest_boards() -> None:
    search = boards_of_ten((13, 11, 17, 9, 7))
    weigh_simply(search)
    relax(search)
    complete_fractions(search)
    round_to_fewest_boards(search)
    assert search.settled


def test_unused_boards_are_empty_ones() -> None:
    runs = [Run(stock=1, pattern=(1, 0), boards=2)]
    assert unused(runs, (3, 2, 4), 2) == [
        Run(stock=0, pattern=(0, 0), boards=3),
        Run(stock=2, pattern=(0, 0), boards=4),
    ]


def test_a_fractional_plan_keeps_to_boards_when_all_its_layouts_together_do() -> None:
    relaxed = Relaxed(boards={(0, (1,)): 0.5, (0, (2,)): 0.75}, cost=0.0, weighings=())
    assert keeps_to(relaxed, (2,))
    assert not keeps_to(relaxed, (1,))


def test_counts_are_settled_again_only_for_a_better_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    search = boards_of_ten((1, 1, 1, 1, 1))
    weigh_simply(search)
    fill_greedily(search)
    settle_counts(search)
    assert search.cost_at_counts == search.cost

    def never(_: Search) -> None:
        raise AssertionError

    monkeypatch.setattr(stepping, "settle_counts", never)
    settle_counts_again(search)


def test_a_better_plan_by_a_dive_raises_the_bound_to_it() -> None:
    # Offcuts at a token price are worth far more than they cost. Whoever leaves one on the rack buys a board more, so
    # the plan that uses all three is a cheapest one; no plan costs 1 or 2 less.
    sizes, capacities = (40, 30, 20), (90, 35)
    problem = Problem(sizes=sizes, demand=(9, 8, 7), prices=(700, 100), limits=(None, 3))
    search = Search(problem, KnapsackOracle(sizes, capacities))
    for step in (fill_greedily, weigh_simply, relax, dive_for_better, settle_counts):
        step(search)
    assert search.settled


@pytest.mark.parametrize("limit", ["MOST_SECONDS", "MOST_ROUNDS"])
def test_a_search_that_is_worked_out_still_has_a_plan(limit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(searching, limit, 0)
    sizes = tuple(range(97, 17, -2))
    problem = Problem(sizes=sizes, demand=(7,) * len(sizes), prices=(1,), limits=(None,))
    search = best_plan(problem, KnapsackOracle(sizes, (150,)))
    assert search.runs
    assert search.bound <= search.cost <= search.bound * 3 // 2
