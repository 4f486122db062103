"""The door of the room: a job in, a checked plan out."""

from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import CuttingJob, CuttingPlan, NotEnoughStock
from estimator.buying.cutting.problem import as_layouts, as_shortages, merge


def plan_cuts(job: CuttingJob) -> CuttingPlan:
    """Return a plan of least cost, or the cheapest one found with a bound on how much cheaper there might be.

    The same job gives the same plan. Raises PieceTooLong and NotEnoughStock.
    """
    merged = merge(job)
    if not merged.problem.demand:
        return CuttingPlan(layouts=(), cost=0, lower_bound=0)
    if not merged.problem.prices:
        raise NotEnoughStock(tuple(piece.demand for piece in job.pieces), proved=True)
    # numpy and HiGHS take a tenth of a second to load, which only who cuts has to pay.
    from estimator.buying.cutting.knapsack import KnapsackOracle  # noqa: PLC0415 - see above
    from estimator.buying.cutting.search import best_plan  # noqa: PLC0415 - see above

    found = best_plan(merged.problem, KnapsackOracle(merged.problem.sizes, merged.capacities))
    if not found.runs:
        raise NotEnoughStock(as_shortages(job, merged, found.left), proved=found.short)
    plan = CuttingPlan(layouts=as_layouts(job, merged, found.runs), cost=found.cost, lower_bound=found.bound)
    faults = plan_faults(job, plan)
    if faults:
        raise AssertionError("; ".join(faults))
    return plan
