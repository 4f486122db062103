"""The cuts that a layout takes at the saw, in the order along a strip, and what the stop block is set to."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying
from estimator.buying.ways_to_lie import Lean
from estimator.buying.whole_numbers import COARSE_STEP_IN

SQUARE_CUT = Lean(mitre=Fraction(0), bevel=Fraction(0))


@dataclass(frozen=True, kw_only=True, slots=True)
class Crosscut:
    """A cut across a strip; `serves_both` where a piece ends and the next begins at it."""

    lean: Lean
    serves_both: bool


def strip_width_in(strip: CutStrip) -> Fraction | None:
    """Return how wide a strip is, the whole board where it is not ripped first."""
    return strip.blanks[0].pieces[0].piece.part.section.width_in if strip.width_in is None else strip.width_in


def takes_whole_width(lying: Lying, strip: CutStrip) -> bool:
    """Whether a piece is as wide as its strip; the planner takes widths for equal that differ by less than a step."""
    width_in = strip_width_in(strip)
    return width_in is None or width_in - lying.piece.blank_width_in < COARSE_STEP_IN


def ends_come_later(lying: Lying, strip: CutStrip) -> bool:
    """Whether a piece is crosscut square and its leaning ends are cut once it is ripped, milled or planed."""
    piece, ends = lying.piece, (lying.way.near, lying.way.far)
    shape = piece.part.shape
    if all(end.is_square for end in ends):
        return False
    planed = shape.thickness_in != piece.part.section.thickness_in and any(end.bevel for end in ends)
    return planed or piece.blank_width_in != shape.width_in or not takes_whole_width(lying, strip)


def crosscut_leans(blank: Blank, strip: CutStrip) -> tuple[Lean, Lean]:
    """Return how a blank's near and far end are crosscut from its strip."""
    first = blank.pieces[0]
    if len(blank.pieces) > 1 or ends_come_later(first, strip):
        return SQUARE_CUT, SQUARE_CUT
    return first.way.near, first.way.far


def shares_cut(one: Blank, other: Blank, strip: CutStrip, kerf_in: Fraction) -> bool:
    """Whether one cut is the far end of a blank and the near end of the next.

    Square ends always share theirs. Ends that lean alike do where the plan lets the blanks reach into each other.
    """
    far, near = crosscut_leans(one, strip)[1], crosscut_leans(other, strip)[0]
    return far == near and (far.is_square or other.start_in < one.end_in + kerf_in)


def crosscuts(strip: CutStrip, kerf_in: Fraction) -> tuple[Crosscut, ...]:
    """Return the cuts along a strip whose first end is squared already."""
    near, far = crosscut_leans(strip.blanks[0], strip)[0], crosscut_leans(strip.blanks[-1], strip)[1]
    cuts = [] if near.is_square else [Crosscut(lean=near, serves_both=False)]
    for one, other in pairwise(strip.blanks):
        ends, begins = crosscut_leans(one, strip)[1], crosscut_leans(other, strip)[0]
        if shares_cut(one, other, strip, kerf_in):
            cuts.append(Crosscut(lean=ends, serves_both=True))
        else:
            cuts += [Crosscut(lean=lean, serves_both=False) for lean in (ends, begins)]
    return (*cuts, Crosscut(lean=far, serves_both=False))


def stop_length_in(blank: Blank, strip: CutStrip) -> Fraction:
    """Return what the stop block is set to for a blank: the part's own length unless more is done to it afterwards."""
    first = blank.pieces[0]
    finished = len(blank.pieces) == 1 and not first.piece.part.section.rough and not ends_come_later(first, strip)
    return first.piece.part.shape.length_in if finished else blank.end_in - blank.start_in


def stop_lengths(layout: CutLayout) -> tuple[tuple[Fraction, int], ...]:
    """Return the settings of the stop block for one board, in the order of the cuts, each with how many it serves."""
    counts: dict[Fraction, int] = {}
    for strip in layout.strips:
        for blank in strip.blanks:
            length_in = stop_length_in(blank, strip)
            counts[length_in] = counts.get(length_in, 0) + 1
    return tuple(counts.items())
