"""The door of the room: a job in, a checked plan out."""

from collections.abc import Sequence
from dataclasses import replace

from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import SQUARE_ENDS, CuttingJob, CuttingPlan, NotEnoughStock
from estimator.buying.cutting.layouts import as_layouts, as_shortages
from estimator.buying.cutting.pricing import KnownBoards, Oracle
from estimator.buying.cutting.problem import Merged, Run, merge


def plan_cuts(job: CuttingJob) -> CuttingPlan:
    """Return a plan of least cost, or the cheapest one found with a bound on how much cheaper there might be.

    The same job gives the same plan. Slopes are nested where that is cheaper: the best plan without is the first one
    offered. Of plans that cost the same it is the nicest one found, by the job's preferences. Raises PieceTooLong and
    NotEnoughStock.
    """
    merged = merge(job)
    if not merged.problem.demand:
        return CuttingPlan(layouts=(), cost=0, lower_bound=0, unnested_cost=0)
    if not merged.problem.prices:
        raise NotEnoughStock(tuple(piece.demand for piece in job.pieces), proved=True)
    # numpy and HiGHS take a tenth of a second to load, which only who cuts has to pay.
    from estimator.buying.cutting.steps import best_plan  # noqa: PLC0415 - see above

    known: KnownBoards = {}
    first = first_plan(job, merged, known)
    if job.is_nested:
        first = best_plan(merged.problem, oracle_for(job, merged, known, nested=False), first).runs
    oracle = oracle_for(job, merged, known, nested=True)
    found = best_plan(merged.problem, oracle, first)
    if not found.runs:
        raise NotEnoughStock(as_shortages(job, merged, found.left), proved=found.short)
    unnested_cost = cost_of(merged, first) if job.is_nested and first else found.cost
    runs = found.runs
    if job.prefer:
        from estimator.buying.cutting.nicest.nicest_plan import nicest_plan  # noqa: PLC0415 - loads numpy and HiGHS

        merged, oracle, runs, _ = nicest_plan(job, merged, oracle, found)
    plan = CuttingPlan(
        layouts=as_layouts(job, merged, oracle, runs),
        cost=cost_of(merged, runs),
        lower_bound=found.bound,
        unnested_cost=unnested_cost,
    )
    faults = plan_faults(job, plan)
    if faults:
        raise AssertionError("; ".join(faults))
    return plan


def first_plan(job: CuttingJob, merged: Merged, known: KnownBoards) -> tuple[Run, ...]:
    """Return a plan to be beaten, where there is a simple way to rip."""
    if job.ripping is None or not job.is_ripped:
        return ()
    from estimator.buying.cutting.simple_ripping import simple_way  # noqa: PLC0415 - loads numpy

    return simple_way(merged, job.kerf, job.ripping, known)


def cost_of(merged: Merged, runs: Sequence[Run]) -> int:
    """Return what the boards of runs cost."""
    return sum(merged.problem.prices[run.stock] * run.boards for run in runs)


def oracle_for(job: CuttingJob, merged: Merged, known: KnownBoards, *, nested: bool) -> Oracle:
    """Return the oracle that knows how the parts of a job fit on its boards; unless `nested` all ends are square."""
    parts = merged.parts if nested else tuple(replace(part, ends=(SQUARE_ENDS,)) for part in merged.parts)
    if job.ripping is not None and job.is_ripped:
        from estimator.buying.cutting.oracles.ripping import RippingOracle  # noqa: PLC0415 - loads numpy

        return RippingOracle(parts, merged.lengths, job.kerf, job.ripping, known)
    if nested and job.is_nested:
        from estimator.buying.cutting.oracles.nesting import NestingOracle  # noqa: PLC0415 - loads numpy

        return NestingOracle(parts, merged.lengths, job.kerf)
    from estimator.buying.cutting.oracles.few_pieces import FewPiecesOracle, holds_few  # noqa: PLC0415 - loads numpy
    from estimator.buying.cutting.oracles.knapsack import KnapsackOracle  # noqa: PLC0415 - loads numpy

    lengths = [part.length for part in parts]
    kind = FewPiecesOracle if holds_few(lengths, merged.lengths, job.kerf) else KnapsackOracle
    return kind(lengths, merged.lengths, job.kerf)
