from dataclasses import replace

import pytest

from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import CuttingJob, CuttingPlan, Layout, Piece, Stock

# Two boards of 96 give 30 + 30 + 30 with two kerfs of 3, which is flush; one of 60 gives the last 30 and a 27.
JOB = CuttingJob(
    stocks=(Stock(length=96, price=10), Stock(length=60, price=7, limit=1)),
    pieces=(Piece(length=30, demand=7), Piece(length=27, demand=1)),
    kerf=3,
)
THREE = Layout(stock=0, counts=(3, 0), boards=2)
TWO = Layout(stock=1, counts=(1, 1), boards=1)
PLAN = CuttingPlan(layouts=(THREE, TWO), cost=27, lower_bound=26)


def test_a_sound_plan_has_no_faults() -> None:
    assert plan_faults(JOB, PLAN) == []


@pytest.mark.parametrize(
    ("spoiled", "fault"),
    [
        (replace(PLAN, layouts=(THREE,), cost=20), "piece 0 is cut 6 times instead of 7"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(2, 0)))), "longer than its board"),  # 30 + 3 + 30 = 63
        (replace(PLAN, layouts=(replace(THREE, counts=(3, 1)), TWO)), "longer than its board"),
        (replace(PLAN, layouts=(replace(THREE, boards=3), TWO)), "piece 0 is cut 10 times instead of 7"),
        (replace(PLAN, layouts=(replace(THREE, boards=0), TWO)), "cuts nothing"),
        (replace(PLAN, layouts=(THREE, TWO, replace(TWO, counts=(0, 0)))), "cuts nothing"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(2, -1)))), "less than nothing"),
        (replace(PLAN, layouts=(THREE, replace(TWO, stock=2))), "no stock of the job"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(1,)))), "does not count every piece"),
        (
            replace(PLAN, layouts=(THREE, replace(TWO, counts=(1, 0)), replace(TWO, counts=(0, 1)))),
            "stock 1 is used 2 times, more than its limit 1",
        ),
        (replace(PLAN, cost=26), "the boards cost 27, not 26"),
        (replace(PLAN, lower_bound=28), "the bound 28 is above the cost 27"),
    ],
)
def test_a_spoiled_plan_is_told_what_is_wrong(spoiled: CuttingPlan, fault: str) -> None:
    assert any(fault in found for found in plan_faults(JOB, spoiled))
