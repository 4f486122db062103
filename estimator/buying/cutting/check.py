"""A second opinion on a plan, in plain integer arithmetic that shares nothing with the search that made it."""

from estimator.buying.cutting.job import CuttingJob, CuttingPlan, Layout


def layout_length(job: CuttingJob, layout: Layout) -> int:
    """Return the length the pieces of one board take up, with a kerf between each two of them."""
    pieces = sum(layout.counts)
    lengths = sum(piece.length * count for piece, count in zip(job.pieces, layout.counts, strict=True))
    return lengths + max(pieces - 1, 0) * job.kerf


def layout_faults(job: CuttingJob, layout: Layout) -> list[str]:
    """Return sentences on what is wrong with one layout by itself."""
    if not 0 <= layout.stock < len(job.stocks):
        return [f"{layout} is cut from no stock of the job"]
    if len(layout.counts) != len(job.pieces):
        return [f"{layout} does not count every piece of the job"]
    faults = []
    if layout.boards < 1 or min(layout.counts, default=0) < 0 or sum(layout.counts) < 1:
        faults.append(f"{layout} cuts nothing, or less than nothing")
    if layout_length(job, layout) > job.stocks[layout.stock].length:
        faults.append(f"{layout} is longer than its board")
    return faults


def plan_faults(job: CuttingJob, plan: CuttingPlan) -> list[str]:
    """Return sentences on what is wrong with a plan; empty when it cuts what the job asks for at the cost it states."""
    faults = [fault for layout in plan.layouts for fault in layout_faults(job, layout)]
    if faults:
        return faults
    for place, piece in enumerate(job.pieces):
        cut = sum(layout.counts[place] * layout.boards for layout in plan.layouts)
        if cut != piece.demand:
            faults.append(f"piece {place} is cut {cut} times instead of {piece.demand}")
    for place, stock in enumerate(job.stocks):
        bought = sum(layout.boards for layout in plan.layouts if layout.stock == place)
        if stock.limit is not None and bought > stock.limit:
            faults.append(f"stock {place} is used {bought} times, more than its limit {stock.limit}")
    cost = sum(job.stocks[layout.stock].price * layout.boards for layout in plan.layouts)
    if cost != plan.cost:
        faults.append(f"the boards cost {cost}, not {plan.cost}")
    if plan.lower_bound > plan.cost:
        faults.append(f"the bound {plan.lower_bound} is above the cost {plan.cost}")
    return faults
