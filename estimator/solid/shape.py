"""The finished measures of one piece: its board-shaped body, its end cuts, tapers, and clipped or rounded corners."""

from dataclasses import dataclass
from fractions import Fraction
from math import radians, sqrt, tan
from typing import Literal

Corner = Literal["bottom left", "bottom right", "top right", "top left"]
End = Literal["left", "right"]
Side = Literal["bottom edge", "top edge", "lower face", "upper face"]
Cut = Literal["ends", "clips", "rounded corners", "tapers"]

CORNERS: tuple[Corner, ...] = ("bottom left", "bottom right", "top right", "top left")
SIDES: tuple[Side, ...] = ("bottom edge", "top edge", "lower face", "upper face")


class CannotBeCutError(ValueError):
    """Measures that leave no such piece: what is wrong and how to mend it, and which cuts it is about."""

    def __init__(self, message: str, *, about: Cut) -> None:
        super().__init__(message)
        self.about = about


@dataclass(frozen=True, kw_only=True, slots=True)
class Clip:
    """A corner cut off in a straight line: so far along the long edge, and so far across along the end."""

    corner: Corner
    along_in: Fraction
    across_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class RoundedCorner:
    """A corner rounded off on the face by an arc that runs smoothly into the long edge and into the end."""

    corner: Corner
    radius_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class Taper:
    """One side sawn off slantwise towards an end: nothing at `length_in` from that end, `depth_in` at the end.

    An edge that is tapered takes from the width, a face from the thickness. It is laid out on the piece before its
    ends are cut: from the furthest point of a leaning end.
    """

    end: End
    side: Side
    depth_in: Fraction
    length_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """The finished measures of one piece; `width_in` runs across the face, `thickness_in` through it.

    `left_degrees` and `right_degrees` are the mitres. Length, width and thickness are those before tapering.
    """

    length_in: Fraction
    width_in: Fraction
    thickness_in: Fraction
    left_degrees: Fraction = Fraction(0)
    right_degrees: Fraction = Fraction(0)
    left_bevel_degrees: Fraction = Fraction(0)
    right_bevel_degrees: Fraction = Fraction(0)
    clips: tuple[Clip, ...] = ()
    rounded_corners: tuple[RoundedCorner, ...] = ()
    tapers: tuple[Taper, ...] = ()


def end_offset_in(degrees: Fraction, width_in: Fraction) -> float:
    """Return how far an end cut's top lies to the right of its bottom, in inches: width x tan(angle)."""
    return float(width_in) * tan(radians(float(degrees))) if degrees else 0.0


def ends_square(shape: Shape) -> bool:
    """Whether both ends are cut square, across the face and through the thickness."""
    return not (shape.left_degrees or shape.right_degrees or shape.left_bevel_degrees or shape.right_bevel_degrees)


def kerf_along(mitre: Fraction, bevel: Fraction) -> float:
    """Return how many times its kerf a blade takes along the board when it cuts at these angles.

    Two planes x = y tan(mitre) + z tan(bevel) a kerf apart lie kerf x sqrt(1 + tan2 mitre + tan2 bevel) apart along x;
    for a mitre alone that is kerf / cos(mitre).
    """
    across, through = (tan(radians(float(degrees))) for degrees in (mitre, bevel))
    return sqrt(1 + across**2 + through**2)
