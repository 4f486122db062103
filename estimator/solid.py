r"""The solid a part is: a board-shaped outline with its end cuts and clipped corners, and what can be measured on it.

The part lies face up, its left end to the left. An end cut of 0 degrees is square; a positive one leans like `/`, a
negative one like `\`. So the same sign at both ends makes the ends parallel and opposite signs make a trapezoid.
A mitre leans like that seen on the face; a bevel leans through the thickness, seen on the long edge nearest to the
reader. With y across the face from that edge and z up through the thickness, an end lies at
x = x0 + y tan(mitre) + z tan(bevel).
Both angles are what a bevel gauge shows that is held to a long edge. Where an end has both, the blade that cuts it is
tilted less than its bevel: tan(tilt) = tan(bevel) x cos(mitre).
The length is that of the longest of the four long edges, the way a tape is hooked on it.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import dist, radians, sqrt, tan
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
    """The finished measures of one piece; `width_in` runs across the face, `thickness_in` through it.

    `left_degrees` and `right_degrees` are the mitres.
    """

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
    """Whether both ends are cut square, across the face and through the thickness."""
    return not (shape.left_degrees or shape.right_degrees or shape.left_bevel_degrees or shape.right_bevel_degrees)


def corners(shape: Shape, height_in: float = 0.0) -> tuple[Point, Point, Point, Point]:
    """Return the four corners before clipping, in the order of CORNERS, in inches, so high above the lower face.

    Raises ValueError where the end cuts meet before they reach the other side: a long edge would have no length.
    """
    across, through = shape.width_in, shape.thickness_in
    left, right = (end_offset_in(degrees, across) for degrees in (shape.left_degrees, shape.right_degrees))
    wider = right - left  # how much longer the top edge is than the bottom edge
    higher = end_offset_in(shape.right_bevel_degrees, through) - end_offset_in(shape.left_bevel_degrees, through)
    if float(shape.length_in) - abs(wider) - abs(higher) < _NO_LENGTH_IN:
        raise ValueError("the end cuts meet: the shorter long edge would have no length; mend the angles or the length")
    near = end_offset_in(shape.left_bevel_degrees, Fraction(height_in))
    far = float(shape.length_in) - max(wider, 0.0) - max(higher, 0.0)
    far += end_offset_in(shape.right_bevel_degrees, Fraction(height_in))
    width = float(across)
    return (near, 0.0), (far, 0.0), (far + right, width), (near + left, width)


def outline(shape: Shape, height_in: float = 0.0) -> tuple[Point, ...]:
    """Return the corners of the piece so high above its lower face, counter-clockwise, in inches.

    Raises ValueError where clips do not fit.
    """
    return tuple(start for start, _, _ in _sides(shape, height_in))


_SIDES = ("edges", "right end", "edges", "left end")  # what begins at each of CORNERS


def _sides(shape: Shape, height_in: float = 0.0) -> tuple[tuple[Point, Point, str], ...]:
    """Return the outline's sides as start, end and what they are: `edges` (along the grain), an end or a `clip`."""
    square = corners(shape, height_in)
    clips = {clip.corner: clip for clip in shape.clips}
    _check_clips(shape, square, clips)
    points: list[tuple[Point, str]] = []  # each point with the kind of the side that begins there
    for place, name in enumerate(CORNERS):
        here, before, after = square[place], square[place - 1], square[(place + 1) % 4]
        clip = clips.get(name)
        if clip is None:
            points.append((here, _SIDES[place]))
            continue
        arriving, leaving = (clip.across_in, clip.along_in) if place % 2 == 0 else (clip.along_in, clip.across_in)
        points.append((_towards(here, before, float(arriving)), "clip"))
        points.append((_towards(here, after, float(leaving)), _SIDES[place]))
    return tuple((a, b, kind) for (a, kind), (b, _) in pairwise([*points, points[0]]))


def _check_clips(shape: Shape, square: tuple[Point, ...], clips: dict[Corner, Clip]) -> None:
    """Raise ValueError where a corner cannot be clipped, or the clips on one side take more than the side has."""
    if len(clips) != len(shape.clips):
        raise ValueError("a corner is clipped twice; name each corner once")
    bevelled = {"left": shape.left_bevel_degrees, "right": shape.right_bevel_degrees}
    if any(bevelled[name.split()[1]] for name in clips):
        raise ValueError("a corner of a bevelled end cannot be clipped here; leave the clip out, or the bevel")
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


def _area_in2(points: tuple[Point, ...]) -> float:
    """Return the area within an outline in square inches (shoelace formula)."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]])) / 2


def face_area_in2(shape: Shape) -> float:
    """Return the area of one face in square inches, the mean of both where a bevel makes them differ."""
    return sum(_area_in2(outline(shape, height)) for height in _heights(shape)) / 2


def _heights(shape: Shape) -> tuple[float, float]:
    """Return how high both faces lie."""
    return 0.0, float(shape.thickness_in)


def surfaces(shape: Shape) -> Surfaces:
    """Return the areas of one piece. Long edges and clips run straight from face to face, so their means count."""
    thickness = float(shape.thickness_in)
    run_in = {"edges": 0.0, "right end": 0.0, "left end": 0.0, "clip": 0.0}
    for height in _heights(shape):
        for start, end, kind in _sides(shape, height):
            run_in[kind] += dist(start, end) / 2
    left, right = (
        _lengthened(shape.left_degrees, shape.left_bevel_degrees),
        _lengthened(shape.right_degrees, shape.right_bevel_degrees),
    )
    ends_in = run_in["clip"] + run_in["left end"] * left + run_in["right end"] * right
    return Surfaces(
        faces_ft2=2 * face_area_in2(shape) / 144,
        edges_ft2=run_in["edges"] * thickness / 144,
        ends_ft2=ends_in * thickness / 144,
    )


def _lengthened(mitre: Fraction, bevel: Fraction) -> float:
    """Return how many times its run on the face times the thickness an end's area is, for its bevel.

    The plane x = y tan(mitre) + z tan(bevel) has sqrt(1 + tan2 mitre + tan2 bevel) of its shadow across the board, and
    its run on the face is sqrt(1 + tan2 mitre) of the width.
    """
    across, through = (tan(radians(float(degrees))) for degrees in (mitre, bevel))
    return sqrt(1 + across**2 + through**2) / sqrt(1 + across**2)


def volume_in3(shape: Shape) -> float:
    """Return the volume of one piece in cubic inches: its sections change evenly from face to face."""
    return face_area_in2(shape) * float(shape.thickness_in)


def reach_in(shape: Shape) -> float:
    """Return how far one piece reaches along the board, from its furthest point to its furthest point, in inches."""
    along = [x for height in _heights(shape) for x, _ in corners(shape, height)]
    return max(along) - min(along)


def kerf_along(mitre: Fraction, bevel: Fraction) -> float:
    """Return how many times its kerf a blade takes along the board when it cuts at these angles.

    Two planes x = y tan(mitre) + z tan(bevel) a kerf apart lie kerf x sqrt(1 + tan2 mitre + tan2 bevel) apart along x;
    for a mitre alone that is kerf / cos(mitre).
    """
    across, through = (tan(radians(float(degrees))) for degrees in (mitre, bevel))
    return sqrt(1 + across**2 + through**2)
