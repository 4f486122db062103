"""A plan for merged parts told in the pieces of the job again: which piece each part on a board is."""

from collections.abc import Sequence
from operator import add

from estimator.buying.cutting.job import CuttingJob, Layout, Placed, Section, Strip
from estimator.buying.cutting.kits import less, part_kits, with_kits
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Merged, Pattern, Run


def as_layouts(job: CuttingJob, merged: Merged, oracle: Oracle, runs: Sequence[Run]) -> tuple[Layout, ...]:
    """Return the layouts behind runs of merged parts.

    Whole kits get their own pieces; for the rest, parts that are alike go to their pieces in the job's order.
    """
    kits = part_kits(job, merged)
    shared_out = list(with_kits(kits, runs))
    waiting = waiting_beside_kits(job, merged, shared_out)
    found: dict[tuple[int, tuple[int, ...]], tuple[int, tuple[Strip, ...]]] = {}
    for run, whole in shared_out:
        left = run.boards
        strips = oracle.arrange(run.pattern, run.stock)
        rest = run.pattern
        for kit, times in zip(kits, whole, strict=True):
            rest = less(rest, kit.pattern, times)
        in_kits = kit_pieces(job, whole)
        while left:
            counts, repeats = next_counts(len(job.pieces), merged.piece_places, waiting, rest)
            repeats = min(repeats, left) if any(rest) else left
            if not repeats:
                raise AssertionError("the boards cut more than is wanted")
            for part, places in enumerate(merged.piece_places):
                for n, place in enumerate(places):
                    waiting[part][n] -= counts[place] * repeats
            counts = tuple(map(add, counts, in_kits))
            key = (merged.stock_places[run.stock], counts)
            boards, same = found.get(key, (0, named(job, merged, strips, counts)))
            found[key] = boards + repeats, same
            left -= repeats
    ordered = sorted(found, key=lambda key: (key[0], [-count for count in key[1]]))
    return tuple(Layout(stock=key[0], counts=key[1], boards=found[key][0], strips=found[key][1]) for key in ordered)


def kit_pieces(job: CuttingJob, whole: Sequence[int]) -> tuple[int, ...]:
    """How many of each piece of the job so many whole kits hold."""
    return tuple(
        sum(kit.counts[place] * times for kit, times in zip(job.kits, whole, strict=True))
        for place in range(len(job.pieces))
    )


def waiting_beside_kits(
    job: CuttingJob, merged: Merged, shared_out: Sequence[tuple[Run, tuple[int, ...]]]
) -> list[list[int]]:
    """How many of each piece, part by part, are wanted beside those in whole kits."""
    times = [sum(run.boards * whole[kit] for run, whole in shared_out) for kit in range(len(job.kits))]
    in_kits = kit_pieces(job, times)
    return [[job.pieces[place].demand - in_kits[place] for place in places] for places in merged.piece_places]


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
