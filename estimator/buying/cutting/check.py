"""A second opinion on a plan, in plain integer arithmetic that shares nothing with the search that made it."""

from itertools import pairwise

from estimator.buying.cutting.job import CuttingJob, CuttingPlan, Layout, Section, Strip, outer_ends, overlap


def strip_length(job: CuttingJob, strip: Strip) -> int:
    """Return the length the sections of a strip take up: a kerf between each two, less where slopes nest."""
    ends = [outer_ends(job, strip, section) for section in strip.sections]
    gaps = sum(job.kerf - overlap(right, left) for (_, right), (left, _) in pairwise(ends))
    return sum(section.length for section in strip.sections) + gaps


def widths_together(job: CuttingJob, widths: list[int]) -> int:
    """Return the width that strips side by side take up with rip kerfs and, where there are several, the edge."""
    more = len(widths) - 1
    return sum(widths) + (more * job.ripping.kerf + job.ripping.edge if job.ripping and more else 0)


def section_faults(job: CuttingJob, section: Section, width: int, *, ripped_before: bool) -> list[str]:
    """Return sentences on what is wrong with one section of a strip so wide."""
    faults = []
    pieces = [job.pieces[placed.piece] for placed in section.pieces]
    if any(placed.ends not in piece.ends for placed, piece in zip(section.pieces, pieces, strict=True)):
        faults.append(f"{section} holds a piece in a way it must not lie")
    if not pieces or any(piece.length > section.length for piece in pieces):
        faults.append(f"{section} is shorter than a piece in it")
    if ripped_before and len(pieces) > 1:
        faults.append(f"{section} is ripped a second time")
    if widths_together(job, [job.width_of(piece) for piece in pieces]) > width:
        faults.append(f"{section} is wider than its strip")
    return faults


def layout_faults(job: CuttingJob, layout: Layout) -> list[str]:
    """Return sentences on what is wrong with one layout by itself."""
    if not 0 <= layout.stock < len(job.stocks):
        return [f"{layout} is cut from no stock of the job"]
    if len(layout.counts) != len(job.pieces):
        return [f"{layout} does not count every piece of the job"]
    faults = []
    if layout.boards < 1 or min(layout.counts, default=0) < 0 or sum(layout.counts) < 1:
        faults.append(f"{layout} cuts nothing, or less than nothing")
    laid = [placed.piece for strip in layout.strips for section in strip.sections for placed in section.pieces]
    if [laid.count(place) for place in range(len(job.pieces))] != list(layout.counts):
        return [*faults, f"{layout} does not lay the pieces it counts"]
    widths = [job.board_width if strip.width is None else strip.width for strip in layout.strips]
    if widths_together(job, widths) > job.board_width:
        faults.append(f"{layout} is wider than its board")
    for strip, width in zip(layout.strips, widths, strict=True):
        if strip_length(job, strip) > job.stocks[layout.stock].length:
            faults.append(f"{layout} is longer than its board")
        for section in strip.sections:
            faults += section_faults(job, section, width, ripped_before=strip.width is not None)
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
    if plan.unnested_cost < plan.cost:
        faults.append(f"without nesting the boards cost {plan.unnested_cost}, less than {plan.cost}")
    return faults
