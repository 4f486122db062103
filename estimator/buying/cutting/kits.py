"""Matching parts: which board each unit's kit comes from whole.

Kits are counted by merged parts, since pieces alike can take each other's place; `layouts` then hands the pieces of
each kit to the board that its kit was counted on, so that the count holds for the pieces of the job too.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from estimator.buying.cutting.job import CuttingJob
from estimator.buying.cutting.problem import Merged, Pattern, Run


class PartKit(NamedTuple):
    """A kit told in merged parts."""

    pattern: Pattern
    units: int


def part_kits(job: CuttingJob, merged: Merged) -> tuple[PartKit, ...]:
    """Return the kits of a job in merged parts, in the job's order."""
    return tuple(
        PartKit(tuple(sum(kit.counts[place] for place in places) for places in merged.piece_places), kit.units)
        for kit in job.kits
    )


def kits_held(pattern: Pattern, kit: Pattern) -> int:
    """How many times a pattern holds all of a kit."""
    return min((count // wanted for count, wanted in zip(pattern, kit, strict=True) if wanted), default=0)


def less(pattern: Pattern, kit: Pattern, times: int) -> Pattern:
    """Return a pattern without so many kits."""
    return tuple(count - times * wanted for count, wanted in zip(pattern, kit, strict=True))


def with_kits(kits: Sequence[PartKit], runs: Iterable[Run]) -> Iterator[tuple[Run, tuple[int, ...]]]:
    """Yield the boards of runs with the number of whole kits that each board of a run gives, kit by kit.

    Board by board each kit in the job's order is taken as often as the board holds it and units still want it. With
    one kit no other choice gives more whole kits; with several that share parts another one might.
    """
    wanted = [kit.units for kit in kits]
    for run in runs:
        left = run.boards
        while left:
            whole = kits_of_board(kits, wanted, run.pattern)
            boards = min([left, *(still // taken for still, taken in zip(wanted, whole, strict=True) if taken)])
            wanted = [still - taken * boards for still, taken in zip(wanted, whole, strict=True)]
            yield Run(stock=run.stock, pattern=run.pattern, boards=boards), whole
            left -= boards


def kits_of_board(kits: Sequence[PartKit], wanted: Sequence[int], pattern: Pattern) -> tuple[int, ...]:
    """How many of each kit a board gives when no more are taken than are wanted."""
    whole = []
    for kit, still in zip(kits, wanted, strict=True):
        taken = min(still, kits_held(pattern, kit.pattern))
        pattern = less(pattern, kit.pattern, taken)
        whole.append(taken)
    return tuple(whole)


def whole_kits(kits: Sequence[PartKit], runs: Iterable[Run]) -> int:
    """How many units have their kit whole from one board."""
    return sum(run.boards * sum(whole) for run, whole in with_kits(kits, runs))
