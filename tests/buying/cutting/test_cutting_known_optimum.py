"""Jobs whose cheapest cost is known by the way they were made, and small ones of the published classes."""

from itertools import product

import pytest

from estimator.buying.cutting.plan import plan_cuts
from tests.benchmarks.recipes import PUBLISHED, ZERO_WASTE_KINDS, zero_waste

LAYOUTS = (1, 2, 3, 5, 8)  # ways in which full boards were cut up
COPIES = (1, 2, 12, 100)  # boards of each
SEEDS = range(4)

# Places of the smaller instances in their classes, which are settled in a fraction of a second.
SMALL = {
    "Falkenauer U": (0, 1, 4, 5, 8),
    "Falkenauer T": (0, 4, 8, 12),
    "Scholl 1": range(8),
    "Scholl 2": range(8),
    "Schwerin 1": range(5),
    "Schwerin 2": range(5),
    "Waescher": range(5),
    "Variable-sized, concave": range(5),
    "Variable-sized, linear": range(5),
}


def missed(kind: str, *, layouts: int, copies: int, seed: int, per_inch: int = 16) -> str:
    """Return what is wrong with the plan for boards that were cut up, or nothing."""
    made = zero_waste(kind=kind, layouts=layouts, copies=copies, seed=seed, per_inch=per_inch)
    plan = plan_cuts(made.job)
    if (plan.cost, plan.lower_bound) == (made.optimum, made.optimum):
        return ""
    return f"{copies} copies, seed {seed}: cost {plan.cost}, bound {plan.lower_bound}, cheapest {made.optimum}"


@pytest.mark.parametrize("kind", ZERO_WASTE_KINDS)
@pytest.mark.parametrize("layouts", LAYOUTS)
def test_boards_that_were_cut_up_without_waste_are_found_again(kind: str, layouts: int) -> None:
    jobs = product(COPIES, SEEDS)
    faults = [missed(kind, layouts=layouts, copies=copies, seed=seed) for copies, seed in jobs]
    assert not [fault for fault in faults if fault]


@pytest.mark.parametrize("per_inch", [8, 64])
def test_boards_are_found_again_in_coarse_and_in_fine_units(per_inch: int) -> None:
    faults = [missed("offcuts", layouts=4, copies=12, seed=seed, per_inch=per_inch) for seed in SEEDS]
    assert not [fault for fault in faults if fault]


@pytest.mark.parametrize("name", SMALL)
def test_small_instances_of_published_classes_are_proved(name: str) -> None:
    for seed in SMALL[name]:
        made = PUBLISHED[name](seed)
        plan = plan_cuts(made.job)
        assert plan.proved, seed
        assert made.optimum in {None, plan.cost}, seed
