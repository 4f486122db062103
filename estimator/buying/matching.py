"""Parts that should match in grain or colour: the pieces of one unit that are best cut from one board."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from estimator.buying.layouts import CutLayout
from estimator.reading.fields import name_key
from estimator.takeoff.lumber import LumberNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class MatchingSet:
    """Pieces of one unit that share a word under `match`, by their place in the need, for so many units."""

    build: str
    word: str
    counts: tuple[int, ...]
    units: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Matched:
    """For how many units of a set all pieces come from one board."""

    matching: MatchingSet
    units: int


def matching_sets(need: LumberNeed) -> tuple[MatchingSet, ...]:
    """Return the sets of a need that hold more than one piece."""
    places: dict[tuple[str, str], list[int]] = {}
    for place, piece in enumerate(need.pieces):
        if piece.part.match:
            places.setdefault((piece.build, name_key(piece.part.match)), []).append(place)
    sets = []
    for (build, _), members in places.items():
        counts = [need.pieces[n].part.quantity if n in members else 0 for n in range(len(need.pieces))]
        first = need.pieces[members[0]]
        if sum(counts) > 1:
            sets.append(
                MatchingSet(
                    build=build,
                    word=first.part.match,
                    counts=tuple(counts),
                    units=first.quantity // first.part.quantity,
                )
            )
    return tuple(sets)


def matched(need: LumberNeed, layouts: Sequence[CutLayout]) -> tuple[Matched, ...]:
    """Return for each set of a need how many units the layouts give whole from one board."""
    found = []
    for matching in matching_sets(need):
        whole = 0
        for layout in layouts:
            laid = Counter(id(lying.piece) for lying in layout.pieces())
            whole += layout.boards * min(
                laid[id(piece)] // count for piece, count in zip(need.pieces, matching.counts, strict=True) if count
            )
        found.append(Matched(matching=matching, units=min(whole, matching.units)))
    return tuple(found)
