import pytest

from estimator.buying.cutting.job import CuttingJob, Piece, Stock
from estimator.buying.cutting.layouts import as_layouts
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Run, merge

# Two pieces of one length, wanted twice and once, and two of them fill a board.
JOB = CuttingJob(
    stocks=(Stock(length=10, price=3),), pieces=(Piece(length=5, demand=2), Piece(length=5, demand=1)), kerf=0
)
ORACLE = KnapsackOracle((5,), (10,))


def test_parts_that_are_alike_go_to_their_pieces_in_the_jobs_order() -> None:
    layouts = as_layouts(
        JOB, merge(JOB), ORACLE, [Run(stock=0, pattern=(2,), boards=1), Run(stock=0, pattern=(1,), boards=1)]
    )
    assert [(layout.counts, layout.boards) for layout in layouts] == [((2, 0), 1), ((0, 1), 1)]


def test_boards_that_cut_more_than_is_wanted_are_a_mistake_of_ours() -> None:
    with pytest.raises(AssertionError, match="more than is wanted"):
        as_layouts(JOB, merge(JOB), ORACLE, [Run(stock=0, pattern=(2,), boards=3)])
