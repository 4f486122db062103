"""Layouts: where each piece lies on its board, exact, measured from the squared datum end."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.offers import Offer
from estimator.buying.ways_to_lie import Way
from estimator.reading.cutting_settings import SawSettings
from estimator.reading.sold import LumberPrice
from estimator.takeoff.lumber import PieceNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class Lying:
    """A piece on a board and the way it lies there."""

    piece: PieceNeed
    way: Way


@dataclass(frozen=True, kw_only=True, slots=True)
class Blank:
    """A length crosscut from a board or a strip, from its furthest point to its furthest point.

    It holds one piece, or several side by side that are ripped from it afterwards.
    """

    start_in: Fraction
    end_in: Fraction
    pieces: tuple[Lying, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CutStrip:
    """Blanks one after the other along a whole board (`width_in` None), or along a strip ripped from it first."""

    width_in: Fraction | None
    blanks: tuple[Blank, ...]

    @property
    def end_in(self) -> Fraction:
        """Where its last blank ends."""
        return self.blanks[-1].end_in


@dataclass(frozen=True, kw_only=True, slots=True)
class CutLayout:
    """One way to cut a board, and how many boards are cut so.

    `left_over_in` is cut off the far end at the board's full width, before anything is ripped.
    """

    offer: Offer
    boards: int
    strips: tuple[CutStrip, ...]
    left_over_in: Fraction

    @property
    def row(self) -> LumberPrice:
        """The price row its boards come from; boards on hand have one made from the list of stock."""
        return self.offer.row

    @property
    def board_length_in(self) -> Fraction:
        """How long the board is."""
        return self.offer.length_in

    @property
    def unit_price(self) -> Decimal:
        """What one board costs."""
        return self.offer.unit_price

    @property
    def rip_first(self) -> bool:
        """Whether the board is ripped into strips before they are crosscut."""
        return self.strips[0].width_in is not None

    @property
    def blanks(self) -> tuple[Blank, ...]:
        """All lengths that are crosscut, strip by strip."""
        return tuple(blank for strip in self.strips for blank in strip.blanks)

    def pieces(self) -> Iterator[Lying]:
        """Yield every piece on one board."""
        for blank in self.blanks:
            yield from blank.pieces


def is_usable(layout: CutLayout, saw: SawSettings) -> bool:
    """Whether the left-over is long enough to keep."""
    return layout.left_over_in > 0 and layout.left_over_in >= saw.usable_offcut_in
