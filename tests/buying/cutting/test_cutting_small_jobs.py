from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Problem, Run
from estimator.buying.cutting.small_jobs import cheapest_of_all, largest_patterns

# Parts of 6 and 4 on boards of 10 (price 5, endless) and 8 (price 3, one of them): 6 + 4 fill the long board, 4 + 4 the
# short one.
BOARDS = KnapsackOracle((6, 4), (10, 8))


def problem(demand: tuple[int, int], *, endless: int | None = None) -> Problem:
    return Problem(sizes=(6, 4), demand=demand, prices=(5, 3), limits=(endless, 1))


def test_the_largest_patterns_are_those_that_hold_no_more() -> None:
    found = largest_patterns(problem((2, 3)), BOARDS)
    assert found is not None
    assert sorted(found) == [(0, (0, 2)), (0, (1, 1)), (1, (0, 2)), (1, (1, 0))]


def test_demand_keeps_patterns_small() -> None:
    found = largest_patterns(problem((1, 0)), BOARDS)
    assert found is not None
    assert sorted(found) == [(0, (1, 0)), (1, (1, 0))]


def test_the_cheapest_of_all_uses_what_is_cheap_once_and_buys_the_rest() -> None:
    # Two 6 and three 4: 6 + 4 twice on long boards (10), the last 4 on the short one (3).
    cheapest = cheapest_of_all(problem((2, 3)), BOARDS)
    assert cheapest is not None
    assert cheapest.cost == 13
    assert {run.stock for run in cheapest.runs} == {0, 1}
    assert [sum(run.pattern[part] for run in cheapest.runs) for part in range(2)] == [2, 3]


def test_too_little_stock_has_no_plan() -> None:
    # One long board and one short one hold no more than two of the 6.
    cheapest = cheapest_of_all(problem((3, 0), endless=1), BOARDS)
    assert cheapest is not None
    assert cheapest.runs == ()


def test_one_board_is_one_run() -> None:
    cheapest = cheapest_of_all(problem((0, 2)), BOARDS)
    assert cheapest is not None
    assert cheapest.runs == (Run(stock=1, pattern=(0, 2), boards=1),)


def test_a_job_too_large_to_look_at_is_left_to_the_other_steps() -> None:
    assert cheapest_of_all(problem((1000, 1000)), BOARDS) is None
