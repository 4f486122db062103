r"""The solid a part is: a board-shaped outline with its end cuts and clipped corners, and what can be measured on it.

The part lies face up, its left end to the left. An end cut of 0 degrees is square; a positive one leans like `/`, a
negative one like `\`. So the same sign at both ends makes the ends parallel and opposite signs make a trapezoid.
The length is that of the longer long edge, the way a tape is hooked on it.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import dist, radians, tan
from typing import Literal

Point = tuple[float, float]
Corner = Literal["bottom left", "bottom right", "top right", "top left"]
_NO_LENGTH_IN = 1e-9  # the tangent of 45 degrees comes out a hair under 1
CORNERS: tuple[Corner, ...] = ("bottom left", "bottom right", "top right", "top left")


@dataclass(frozen=True, kw_only=True, slots=True)
class Clip:
    """A corner cut off in a straight line: so far along the long edge, and so far across along the end."""

    corner: Corner
    along_in: Fraction
    across_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """The finished measures of one piece; `width_in` runs across the face, `thickness_in` through it."""

    length_in: Fraction
    width_in: Fraction
    thickness_in: Fraction
    left_degrees: Fraction = Fraction(0)
    right_degrees: Fraction = Fraction(0)
    left_bevel_degrees: Fraction = Fraction(0)
    right_bevel_degrees: Fraction = Fraction(0)
    clips: tuple[Clip, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Surfaces:
    """Areas of one piece in square feet: both faces, both long edges, the ends with what clipped corners lay open."""

    faces_ft2: float
    edges_ft2: float
    ends_ft2: float


def end_offset_in(degrees: Fraction, width_in: Fraction) -> float:
    """Return how far an end cut's top lies to the right of its bottom, in inches: width x tan(angle)."""
    return float(width_in) * tan(radians(float(degrees))) if degrees else 0.0


def ends_square(shape: Shape) -> bool:
    """Whether both ends are cut square across."""
    return not shape.left_degrees and not shape.right_degrees


def corners(shape: Shape) -> tuple[Point, Point, Point, Point]:
    """Return the four corners before clipping, in the order of CORNERS, in inches.

    Raises ValueError where the end cuts meet before they reach the other long edge.
    """
    length, width = float(shape.length_in), float(shape.width_in)
    left = end_offset_in(shape.left_degrees, shape.width_in)
    right = end_offset_in(shape.right_degrees, shape.width_in)
    difference = right - left  # how much longer the top edge is
    bottom = length - max(difference, 0.0)
    if min(bottom, bottom + difference) < _NO_LENGTH_IN:
        raise ValueError("the end cuts meet: the shorter long edge would have no length; mend the angles or the length")
    return (0.0, 0.0), (bottom, 0.0), (bottom + right, width), (left, width)


def outline(shape: Shape) -> tuple[Point, ...]:
    """Return the corners of the face, counter-clockwise, in inches; raises ValueError where clips do not fit."""
    return tuple(start for start, _, _ in _sides(shape))


def _sides(shape: Shape) -> tuple[tuple[Point, Point, str], ...]:
    """Return the outline's sides as start, end and what they are: `edges` (along the grain) or `ends`."""
    square = corners(shape)
    clips = {clip.corner: clip for clip in shape.clips}
    if len(clips) != len(shape.clips):
        raise ValueError("a corner is clipped twice; name each corner once")
    _check_clips_fit(square, clips)
    points: list[tuple[Point, str]] = []  # each point with the kind of the side that begins there
    for place, name in enumerate(CORNERS):
        here, before, after = square[place], square[place - 1], square[(place + 1) % 4]
        side_kind = "edges" if place % 2 == 0 else "ends"
        clip = clips.get(name)
        if clip is None:
            points.append((here, side_kind))
            continue
        arriving, leaving = (clip.across_in, clip.along_in) if place % 2 == 0 else (clip.along_in, clip.across_in)
        points.append((_towards(here, before, float(arriving)), "ends"))
        points.append((_towards(here, after, float(leaving)), side_kind))
    return tuple((a, b, kind) for (a, kind), (b, _) in pairwise([*points, points[0]]))


def _check_clips_fit(square: tuple[Point, ...], clips: dict[Corner, Clip]) -> None:
    """Raise ValueError where the clips on one side take more than the side has."""
    for place, name in enumerate(CORNERS):
        following = CORNERS[(place + 1) % 4]
        along = place % 2 == 0
        used = sum(
            float(clip.along_in if along else clip.across_in) for one in (name, following) if (clip := clips.get(one))
        )
        if used > dist(square[place], square[(place + 1) % 4]) + 1e-9:
            side = "edge" if along else "end"
            raise ValueError(f"the clipped corners take more than the whole {side}; make the clips smaller")


def _towards(start: Point, end: Point, distance: float) -> Point:
    """Return the point so far from start on the way to end."""
    share = distance / dist(start, end)
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def face_area_in2(shape: Shape) -> float:
    """Return the area of one face in square inches (shoelace formula)."""
    points = outline(shape)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]])) / 2


def surfaces(shape: Shape) -> Surfaces:
    """Return the areas of one piece: two outlines, and the perimeter times the thickness."""
    sides = _sides(shape)
    run_in = {kind: sum(dist(a, b) for a, b, side in sides if side == kind) for kind in ("edges", "ends")}
    thickness = float(shape.thickness_in)
    return Surfaces(
        faces_ft2=2 * face_area_in2(shape) / 144,
        edges_ft2=run_in["edges"] * thickness / 144,
        ends_ft2=run_in["ends"] * thickness / 144,
    )


def volume_in3(shape: Shape) -> float:
    """Return the volume of one piece in cubic inches."""
    return face_area_in2(shape) * float(shape.thickness_in)


def reach_in(shape: Shape) -> float:
    """Return how far one piece reaches along the board, from its furthest point to its furthest point, in inches."""
    along = [x for x, _ in corners(shape)]
    return max(along) - min(along)
