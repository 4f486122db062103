"""The simple way to rip: each length of board is cut off first and gives as many strips of one part as its width holds.

It is the first plan offered for ripped jobs, so that no plan is dearer than what a maker would do unaided.
"""

from collections.abc import Sequence
from dataclasses import replace

from estimator.buying.cutting.greedy import without_surplus
from estimator.buying.cutting.job import Placed, Ripping, Section, Strip
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.oracles.ripped_boards import Measures, RememberedBoards
from estimator.buying.cutting.pricing import KnownBoards
from estimator.buying.cutting.problem import Merged, Pattern, Run
from estimator.buying.cutting.steps import best_plan


def simple_way(merged: Merged, kerf: int, ripping: Ripping, known: KnownBoards) -> tuple[Run, ...]:
    """Return the boards of the best plan of this way, none where limited stock does not allow it; remembers them.

    A heuristic.
    """
    measures = Measures(parts=merged.parts, kerf=kerf, ripping=ripping)
    strips = [strips_across(measures, part) for part in range(len(merged.parts))]
    blanks = tuple(-(-part.demand // count) for part, count in zip(merged.parts, strips, strict=True))
    oracle = KnapsackOracle([part.length for part in merged.parts], merged.lengths, kerf)
    lengths = tuple(part.length + kerf for part in merged.parts)
    found = best_plan(replace(merged.problem, sizes=lengths, demand=blanks), oracle)
    remembered = RememberedBoards(measures, known)
    for run in found.runs:
        remembered.remember(board(measures, run.pattern, strips))
    full = [replace(run, pattern=tuple(map(int.__mul__, run.pattern, strips))) for run in found.runs]
    return tuple(without_surplus(full, merged.problem.demand)[0])


def strips_across(measures: Measures, part: int) -> int:
    """Return how many strips of a part a board's width gives."""
    return max(1, measures.room // (measures.width(part) + measures.ripping.kerf))


def board(measures: Measures, blanks: Pattern, strips: Sequence[int]) -> tuple[Strip, ...]:
    """Return a board whose sections each hold strips of one part."""
    sections = []
    for part, count in enumerate(blanks):
        piece = measures.parts[part]
        sections += [Section(piece.length, (Placed(part, piece.ends[0]),) * strips[part])] * count
    return (Strip(None, tuple(sections)),)
