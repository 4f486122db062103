"""Overlap: how much of each other two surfaces hide where two parts meet.

A surface is taken as it is before corners are clipped or rounded and before sides are tapered; of a tapered end nothing
is worked out. A face is as broad as the part is wide, an edge as it is thick, both as long as the part.

An end lies whole on the other surface and hides its own area. It is the parallelogram of u = (width x tan(mitre),
width, 0) and v = (thickness x tan(bevel), 0, thickness); its height over its longer side is its breadth. It lies on the
other surface whichever way it fits, or turned by so many degrees from that.

Two long surfaces that cross hide what two strips have in common. That is a parallelogram: as high as one strip is
broad, and on the rim of that strip the other takes its own breadth / cos(degrees), where the degrees are those off a
square crossing. So its area is breadth x breadth / cos(degrees). Along a strip it reaches
(the other's breadth + its own breadth x sin(degrees)) / cos(degrees), and a part must be as long as that.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import cos, hypot, radians, sin

from estimator.solid import Shape, end_offset_in, surfaces
from estimator.units import IN2_PER_FT2

LONG_SURFACES = ("edge", "face")
ENDS = ("left end", "right end", "end")
_AS_GOOD_AS_IN = 1e-6  # far below what a rule shows, far above what rounding makes of a slant


@dataclass(frozen=True, kw_only=True, slots=True)
class Contact:
    """A surface of a piece that touches another: `left end`, `right end`, `end` (either), `edge` or `face`."""

    shape: Shape
    surface: str


def overlap_in2(one: Contact, other: Contact, degrees: Fraction) -> float | None:
    """Return what both surfaces hide of each other in square inches, None where they do not meet in full.

    Of two ends the one that lies whole on the other counts.
    """
    if one.surface in LONG_SURFACES and other.surface in LONG_SURFACES:
        return _crossing_in2(one, other, degrees)
    pairs = [(end, on) for end, on in ((one, other), (other, one)) if end.surface in ENDS]
    return next((end_area_in2(end) for end, on in pairs if _lies_whole(end, on, degrees)), None)


def ends_differ(contact: Contact) -> bool:
    """Whether `end` could be either of two that are not alike."""
    alike = all(
        abs(left) == abs(right)
        for left, right in zip(_leans(contact.shape, "left end"), _leans(contact.shape, "right end"), strict=True)
    )
    tapered = {taper.end for taper in contact.shape.tapers}
    return contact.surface == "end" and (not alike or len(tapered) == 1)


def is_tapered_end(contact: Contact) -> bool:
    """Whether a surface is an end towards which the part is tapered."""
    ends = {taper.end for taper in contact.shape.tapers}
    return bool(ends) and (contact.surface == "end" or contact.surface.removesuffix(" end") in ends)


def end_area_in2(end: Contact) -> float:
    """Return the true area of an end in square inches: half of what a piece has that is cut so at both ends."""
    mitre, bevel = _leans(end.shape, end.surface)
    alike = Shape(
        length_in=end.shape.length_in,
        width_in=end.shape.width_in,
        thickness_in=end.shape.thickness_in,
        left_degrees=mitre,
        right_degrees=mitre,
        left_bevel_degrees=bevel,
        right_bevel_degrees=bevel,
    )
    return surfaces(alike).ends_ft2 * IN2_PER_FT2 / 2


def breadth_and_length_in(contact: Contact) -> tuple[float, float]:
    """Return the measures of the rectangle that a surface is taken for, in inches.

    Of an end that leans both ways it is the rectangle on its longer side that the parallelogram just fits in.
    """
    shape = contact.shape
    if contact.surface in LONG_SURFACES:
        return float(shape.width_in if contact.surface == "face" else shape.thickness_in), float(shape.length_in)
    mitre, bevel = _leans(shape, contact.surface)
    along, through = end_offset_in(mitre, shape.width_in), end_offset_in(bevel, shape.thickness_in)
    longer = max(hypot(along, float(shape.width_in)), hypot(through, float(shape.thickness_in)))
    return end_area_in2(contact) / longer, longer + abs(along * through) / longer


def _crossing_in2(one: Contact, other: Contact, degrees: Fraction) -> float | None:
    turn = radians(abs(float(degrees)))
    (breadth, length), (other_breadth, other_length) = breadth_and_length_in(one), breadth_and_length_in(other)
    takes, other_takes = (
        (across + own * sin(turn)) / cos(turn) for own, across in ((breadth, other_breadth), (other_breadth, breadth))
    )
    if takes > length + _AS_GOOD_AS_IN or other_takes > other_length + _AS_GOOD_AS_IN:
        return None
    return breadth * other_breadth / cos(turn)


def _lies_whole(end: Contact, on: Contact, degrees: Fraction) -> bool:
    """Whether the box around an end, turned so, is within the other surface in one of its two directions."""
    turn = radians(abs(float(degrees)))
    breadth, length = breadth_and_length_in(end)
    box = sorted((breadth * cos(turn) + length * sin(turn), length * cos(turn) + breadth * sin(turn)))
    room = sorted(breadth_and_length_in(on))
    return all(takes <= has + _AS_GOOD_AS_IN for takes, has in zip(box, room, strict=True))


def _leans(shape: Shape, surface: str) -> tuple[Fraction, Fraction]:
    """Return the mitre and the bevel of an end; `end` is the left one, which is like the right one there."""
    if surface == "right end":
        return shape.right_degrees, shape.right_bevel_degrees
    return shape.left_degrees, shape.left_bevel_degrees
