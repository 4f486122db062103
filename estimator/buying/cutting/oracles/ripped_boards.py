"""Ripped boards as records: how long and how wide their strips and sections are, and what is left when pieces go.

A board is ripped once and crosscut once, in either order. Pieces shorter than their section or narrower than their
strip are cut to size afterwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from estimator.buying.cutting.job import SQUARE_ENDS, Ends, Piece, Placed, Ripping, Section, Strip, overlap
from estimator.buying.cutting.oracles.nesting import LeaningRows, leans_ends, nested_row
from estimator.buying.cutting.pricing import KnownBoards
from estimator.buying.cutting.problem import Pattern


@dataclass(frozen=True, kw_only=True, slots=True)
class Measures:
    """What is measured by: the parts, the kerf, and the width of the boards with what ripping takes."""

    parts: tuple[Piece, ...]
    kerf: int
    ripping: Ripping

    def width(self, part: int) -> int:
        """Return how wide a part is."""
        return self.parts[part].width or self.ripping.width

    def ways(self, part: int, width: int) -> tuple[Ends, ...]:
        """Return the ways a part may lie in a strip so wide; square towards its neighbours where it is narrower."""
        return self.parts[part].ends if self.width(part) == width else (SQUARE_ENDS,)

    def as_drawn(self, placed: Placed, width: int) -> Placed:
        """Return a piece laid in a strip so wide, as drawn where it is narrower and its ends do not matter."""
        return placed if self.width(placed.piece) == width else Placed(placed.piece, self.parts[placed.piece].ends[0])

    def section(self, placed: Placed) -> Section:
        """Return the section that one piece takes."""
        return Section(self.parts[placed.piece].length, (placed,))

    @property
    def room(self) -> int:
        """The width that several strips share when each carries a rip kerf."""
        return self.ripping.width + self.ripping.kerf - self.ripping.edge

    def strip_width(self, strip: Strip) -> int:
        """Return how wide a strip is; the whole board is as wide as it is."""
        return self.ripping.width if strip.width is None else strip.width

    def length(self, strip: Strip) -> int:
        """Return the length that a strip's sections take."""
        ends = [self.outer_ends(strip, section) for section in strip.sections]
        gaps = sum(self.kerf - overlap(right, left) for (_, right), (left, _) in pairwise(ends))
        return sum(section.length for section in strip.sections) + gaps

    def outer_ends(self, strip: Strip, section: Section) -> Ends:
        """Return how a section leans towards its neighbours: as the one piece of its whole width, else square."""
        placed = section.pieces[0]
        return placed.ends if self.width(placed.piece) == self.strip_width(strip) else SQUARE_ENDS

    def board_length(self, strips: Sequence[Strip]) -> int:
        """Return how long a board must be for its strips."""
        return max(map(self.length, strips), default=0)

    def counts(self, strips: Sequence[Strip]) -> Pattern:
        """Return how many of each part lie on a board."""
        laid = [placed.piece for strip in strips for section in strip.sections for placed in section.pieces]
        return tuple(laid.count(part) for part in range(len(self.parts)))

    def without(self, strips: Sequence[Strip], wanted: Pattern) -> tuple[Strip, ...]:
        """Return a board's strips with no more of each part than wanted, empty sections and strips taken out."""
        left = list(wanted)
        kept = [
            Strip(
                strip.width, tuple(section for old in strip.sections if (section := self._less(old, left)) is not None)
            )
            for strip in strips
        ]
        return tuple(self.narrowed(strip) for strip in kept if strip.sections)

    def _less(self, section: Section, left: list[int]) -> Section | None:
        pieces = []
        for placed in section.pieces:
            if left[placed.piece]:
                left[placed.piece] -= 1
                pieces.append(placed)
        if not pieces:
            return None
        return Section(max(self.parts[placed.piece].length for placed in pieces), tuple(pieces))

    def narrowed(self, strip: Strip) -> Strip:
        """Return a strip no wider than its widest piece."""
        if strip.width is None:
            return strip
        widths = [self.width(placed.piece) for section in strip.sections for placed in section.pieces]
        return Strip(max(widths), strip.sections)


class RememberedBoards:
    """Boards once laid out, so that what fits with pieces left out need not be laid out again."""

    def __init__(self, measures: Measures, known: KnownBoards) -> None:
        self._measures = measures
        self._known = known

    def remember(self, strips: tuple[Strip, ...]) -> Pattern:
        """Keep a board, unless a shorter one holds the same; return how many of each part it holds."""
        pattern, length = self._measures.counts(strips), self._measures.board_length(strips)
        if pattern not in self._known or length < self._known[pattern][0]:
            self._known[pattern] = length, strips
        return pattern

    def find(self, pattern: Pattern, longest: int) -> tuple[Strip, ...] | None:
        """Return strips that hold a pattern on a board no longer than so much, from a board that holds as much."""
        if pattern in self._known and self._known[pattern][0] <= longest:
            return self._known[pattern][1]
        for known, (length, strips) in self._known.items():
            if length <= longest and all(map(int.__ge__, known, pattern)):
                fewer = self._measures.without(strips, pattern)
                self._known[pattern] = self._measures.board_length(fewer), fewer
                return fewer
        return None


def relaid(measures: Measures, rows: LeaningRows, strip: Strip) -> Strip:
    """Return a strip with its sections in the order for the saw: leaning pieces in a row, the rest long ones first."""
    whole = [section for section in strip.sections if leans_ends(measures.outer_ends(strip, section))]
    others = sorted((one for one in strip.sections if one not in whole), key=lambda section: -section.length)
    counts = measures.counts([Strip(strip.width, tuple(whole))])
    ways = [part.ends for part in measures.parts]
    row = [measures.section(one) for one in nested_row(rows, counts, ways, [part.length for part in measures.parts])]
    both = sorted([row, others], key=lambda sections: -max((section.length for section in sections), default=0))
    return Strip(strip.width, (*both[0], *both[1]))
