"""Convex bodies as what straight cuts leave: each cut keeps a half-space, and has a face on what all of them keep."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot

Vector = tuple[float, float, float]
Polygon = tuple[tuple[Vector, str], ...]  # where each side begins, and the label of the cut that made it

ON_PLANE_IN = 1e-10  # nearer points count as on a plane: far above rounding in parts of a few feet, far below a saw


@dataclass(frozen=True, kw_only=True, slots=True)
class HalfSpace:
    """The points with normal . point <= offset_in; the normal has a length of 1 and points out of the body."""

    label: str
    normal: Vector
    offset_in: float


def half_space(label: str, outwards: Vector, through: Vector) -> HalfSpace:
    """Return the half-space behind a plane through a point; `outwards` may have any length."""
    normal = _of_length_one(outwards)
    return HalfSpace(label=label, normal=normal, offset_in=_dot(normal, through))


def face_on(plane: HalfSpace, cuts: Iterable[HalfSpace], size_in: float) -> Polygon:
    """Return the face that a plane has on the body that lies within all cuts, counter-clockwise seen from outside.

    It is what the cuts leave of a large square on the plane; no point of the body may lie further than `size_in` from
    the origin. A plane that passes the body by has no face: no points.
    """
    face = _square_on(plane, size_in)
    for cut in cuts:
        if cut is not plane:
            face = _cut_polygon(face, cut)
    return face


def area_in2(face: Polygon) -> float:
    """Return the area of a flat polygon in square inches: half the length of the sum of its cross products."""
    across = up = along = 0.0
    for place, ((x, y, z), _) in enumerate(face):
        a, b, c = face[place - 1][0]
        across, up, along = across + b * z - c * y, up + c * x - a * z, along + a * y - b * x
    return hypot(across, up, along) / 2


def volume_of(faces: Iterable[tuple[HalfSpace, float]]) -> float:
    """Return the volume in cubic inches of a body with faces of these areas.

    Pyramids from the origin to each face, those that lie behind it as seen from the origin taken off (divergence
    theorem).
    """
    return sum(plane.offset_in * area for plane, area in faces) / 3


def _square_on(plane: HalfSpace, size_in: float) -> Polygon:
    """Return a square about the point of a plane nearest to the origin, each side that far from it."""
    normal = plane.normal
    steepest = max(range(3), key=lambda axis: abs(normal[axis]))
    axis: Vector = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))[steepest]
    right = _of_length_one(_cross(axis, normal))
    up = _cross(normal, right)
    quarters = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple((_corner(plane, right, up, a * size_in, b * size_in), "") for a, b in quarters)


def _corner(plane: HalfSpace, right: Vector, up: Vector, a: float, b: float) -> Vector:
    x, y, z = (plane.offset_in * n + a * r + b * u for n, r, u in zip(plane.normal, right, up, strict=True))
    return x, y, z


def _cut_polygon(polygon: Polygon, cut: HalfSpace) -> Polygon:
    """Return what a cut leaves of a convex polygon, one side after the other (Sutherland and Hodgman's way)."""
    (a, b, c), offset = cut.normal, cut.offset_in
    beyond = [a * x + b * y + c * z - offset for (x, y, z), _ in polygon]
    if not polygon or max(beyond) <= ON_PLANE_IN:
        return polygon
    left: list[tuple[Vector, str]] = []
    for place, (start, label) in enumerate(polygon):
        following = (place + 1) % len(polygon)
        here, there = beyond[place], beyond[following]
        leaves = there > ON_PLANE_IN
        crosses = min(here, there) < -ON_PLANE_IN and max(here, there) > ON_PLANE_IN
        if here <= ON_PLANE_IN:
            left.append((start, cut.label if leaves and not crosses else label))
        if crosses:
            point = _between(start, polygon[following][0], here / (here - there))
            left.append((point, cut.label if leaves else label))
    return tuple(left)


def _between(start: Vector, end: Vector, share: float) -> Vector:
    """Return the point that lies at a share of the way."""
    (ax, ay, az), (bx, by, bz) = start, end
    return ax + share * (bx - ax), ay + share * (by - ay), az + share * (bz - az)


def _of_length_one(vector: Vector) -> Vector:
    length = hypot(*vector)
    return vector[0] / length, vector[1] / length, vector[2] / length


def _dot(one: Vector, other: Vector) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _cross(one: Vector, other: Vector) -> Vector:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )
