"""A plan for merged parts told in the pieces of the job again: which piece each part on a board is."""

from collections.abc import Sequence

from estimator.buying.cutting.job import CuttingJob, Layout, Placed, Section, Strip
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Merged, Pattern, Run


def as_layouts(job: CuttingJob, merged: Merged, oracle: Oracle, runs: Sequence[Run]) -> tuple[Layout, ...]:
    """Return the layouts behind runs of merged parts: parts that are alike go to their pieces in the job's order."""
    waiting = [[job.pieces[place].demand for place in places] for places in merged.piece_places]
    found: dict[tuple[int, tuple[int, ...]], tuple[int, tuple[Strip, ...]]] = {}
    for run in runs:
        left = run.boards
        strips = oracle.arrange(run.pattern, run.stock)
        while left:
            counts, repeats = next_counts(len(job.pieces), merged.piece_places, waiting, run.pattern)
            repeats = min(repeats, left)
            for part, places in enumerate(merged.piece_places):
                for n, place in enumerate(places):
                    waiting[part][n] -= counts[place] * repeats
            key = (merged.stock_places[run.stock], counts)
            boards, same = found.get(key, (0, named(job, merged, strips, counts)))
            found[key] = boards + repeats, same
            left -= repeats
    ordered = sorted(found, key=lambda key: (key[0], [-count for count in key[1]]))
    return tuple(Layout(stock=key[0], counts=key[1], boards=found[key][0], strips=found[key][1]) for key in ordered)


def named(job: CuttingJob, merged: Merged, strips: tuple[Strip, ...], counts: Sequence[int]) -> tuple[Strip, ...]:
    """Return strips with the job's pieces in the place of merged parts, so many of each piece."""
    queues = [iter([place for place in places for _ in range(counts[place])]) for places in merged.piece_places]

    def name(placed: Placed) -> Placed:
        place = next(queues[placed.piece])
        ways = job.pieces[place].ends
        return Placed(place, placed.ends if placed.ends in ways else ways[0])

    return tuple(
        Strip(
            strip.width,
            tuple(Section(section.length, tuple(map(name, section.pieces))) for section in strip.sections),
        )
        for strip in strips
    )


def as_shortages(job: CuttingJob, merged: Merged, left: Sequence[int]) -> tuple[int, ...]:
    """How many of each piece of the job stay uncut: of pieces of one length, the last in the job's order go short."""
    shortages = [0] * len(job.pieces)
    for places, uncut in zip(merged.piece_places, left, strict=True):
        still = uncut
        for place in reversed(places):
            shortages[place] = min(still, job.pieces[place].demand)
            still -= shortages[place]
    return tuple(shortages)


def next_counts(
    pieces: int, piece_places: Sequence[Sequence[int]], waiting: Sequence[Sequence[int]], pattern: Pattern
) -> tuple[tuple[int, ...], int]:
    """Which pieces the next board of a pattern serves, and how many boards in a row can serve just these."""
    counts = [0] * pieces
    repeats = None
    for places, left, wanted in zip(piece_places, waiting, pattern, strict=True):
        open_count = wanted
        for place, still in zip(places, left, strict=True):
            taken = min(open_count, still)
            if taken:
                counts[place] = taken
                open_count -= taken
                repeats = still // taken if repeats is None else min(repeats, still // taken)
    return tuple(counts), repeats or 0
