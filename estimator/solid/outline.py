"""The outline of a piece as seen on its face: what is clipped and rounded off its corners, and whether it fits."""

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, dist, tan

from estimator.solid.half_spaces import face_on, half_space
from estimator.solid.planes import NO_LENGTH_IN, Point, side_cuts, size_in, taper_begins_in, taper_cuts, towards
from estimator.solid.shape import CORNERS, CannotBeCutError, Shape

CLIPPED = "clip"
_BEGIN_AT_CORNERS = ("bottom edge", "right end", "top edge", "left end")  # the sides, in the order of CORNERS


@dataclass(frozen=True, kw_only=True, slots=True)
class OutlineSide:
    """A side of the outline from one point to the next, in inches, and what it is: an edge, an end or a clip.

    Where a rounded corner is, `radius_in` and `turn` say by how much, in radians, its arc turns from start to end.
    """

    name: str
    start: Point
    end: Point
    radius_in: float = 0.0
    turn: float = 0.0


def outline(shape: Shape, height_in: float = 0.0) -> tuple[Point, ...]:
    """Return the corners of the piece so high above its lower face, counter-clockwise, in inches.

    The faces count as not yet tapered. A rounded corner gives the points where its arc begins and ends.
    Raises CannotBeCutError where clips or rounded corners do not fit.
    """
    return tuple(side.start for side in outline_sides(shape, height_in))


def outline_sides(shape: Shape, height_in: float = 0.0) -> tuple[OutlineSide, ...]:
    """Return the sides of the outline, as `outline` returns its corners."""
    sharp = _sharp_sides(shape, height_in)
    _check_corners_named(shape)
    cuts = _corner_cuts(shape, sharp)
    _check_room(shape, sharp, cuts)
    sides: list[OutlineSide] = []
    for place, side in enumerate(sharp):
        cut, following = cuts.get(place), cuts.get((place + 1) % len(sharp))
        start = _along(side.start, side.end, cut.leaving_in) if cut else side.start
        end = _along(side.end, side.start, following.arriving_in) if following else side.end
        if cut:
            before = _along(side.start, sharp[place - 1].start, cut.arriving_in)
            sides.append(OutlineSide(name=CLIPPED, start=before, end=start, radius_in=cut.radius_in, turn=cut.turn))
        sides.append(OutlineSide(name=side.name, start=start, end=end))
    _check_even_thickness(shape, sides)
    return tuple(sides)


def _sharp_sides(shape: Shape, height_in: float) -> tuple[OutlineSide, ...]:
    """Return the outline before its corners are cut, from the bottom left on; a taper may break an edge in two."""
    plane = half_space("height", (0.0, 0.0, 1.0), (0.0, 0.0, height_in))
    cuts = [cut for cut in (*side_cuts(shape), *taper_cuts(shape)) if not cut.label.endswith("face")]
    found = face_on(plane, cuts, size_in(shape))
    first = next(n for n, (_, name) in enumerate(found) if name == "bottom edge" and found[n - 1][1] == "left end")
    turned = [*found[first:], *found[:first], found[first]]
    return tuple(OutlineSide(name=name, start=start[:2], end=end[:2]) for (start, name), (end, _) in pairwise(turned))


@dataclass(frozen=True, kw_only=True, slots=True)
class _CornerCut:
    """How much of the side before a corner, and of the side after it, is cut away with the corner."""

    arriving_in: float
    leaving_in: float
    radius_in: float = 0.0
    turn: float = 0.0


def _corner_cuts(shape: Shape, sharp: tuple[OutlineSide, ...]) -> dict[int, _CornerCut]:
    """Return what is cut from the corners of an outline, by the place of the side that begins at each.

    An arc of radius r that turns by an angle begins r tan(angle / 2) before the corner and ends as far behind it.
    """
    clips = {clip.corner: clip for clip in shape.clips}
    rounded = {one.corner: float(one.radius_in) for one in shape.rounded_corners}
    cuts = {}
    for place, side in enumerate(sharp):
        before = sharp[place - 1]
        if side.name == before.name:
            continue
        corner = CORNERS[_BEGIN_AT_CORNERS.index(side.name)]
        if corner in clips:
            pair = float(clips[corner].across_in), float(clips[corner].along_in)
            arriving, leaving = pair if side.name.endswith("edge") else pair[::-1]
            cuts[place] = _CornerCut(arriving_in=arriving, leaving_in=leaving)
        elif corner in rounded:
            radius, turn = rounded[corner], _turn(before, side)
            length = radius * tan(turn / 2)
            cuts[place] = _CornerCut(arriving_in=length, leaving_in=length, radius_in=radius, turn=turn)
    return cuts


def _turn(before: OutlineSide, side: OutlineSide) -> float:
    """Return by how much, in radians, the outline turns from one side to the next."""
    (ax, ay), (bx, by) = ((one.end[0] - one.start[0], one.end[1] - one.start[1]) for one in (before, side))
    return atan2(ax * by - ay * bx, ax * bx + ay * by)


def _along(start: Point, end: Point, distance: float) -> Point:
    """Return the point so far from start on the way to end."""
    share = distance / dist(start, end)
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _check_corners_named(shape: Shape) -> None:
    """Raise CannotBeCutError where a corner is named twice, or is one of a bevelled end."""
    clipped, rounded = [clip.corner for clip in shape.clips], [one.corner for one in shape.rounded_corners]
    if len(set(clipped)) != len(clipped):
        raise CannotBeCutError("a corner is clipped twice; name each corner once", about="clips")
    if len(set(rounded)) != len(rounded):
        raise CannotBeCutError("a corner is rounded twice; name each corner once", about="rounded corners")
    if set(clipped) & set(rounded):
        raise CannotBeCutError(
            "a corner is both clipped and rounded; name it under one of them", about="rounded corners"
        )
    bevelled = {"left": shape.left_bevel_degrees, "right": shape.right_bevel_degrees}
    if any(bevelled[corner.split()[1]] for corner in clipped):
        raise CannotBeCutError(
            "a corner of a bevelled end cannot be clipped here; leave the clip out, or the bevel", about="clips"
        )
    if any(bevelled[corner.split()[1]] for corner in rounded):
        raise CannotBeCutError(
            "a corner of a bevelled end cannot be rounded here; leave the rounding out, or the bevel",
            about="rounded corners",
        )


def _check_room(shape: Shape, sharp: tuple[OutlineSide, ...], cuts: dict[int, _CornerCut]) -> None:
    """Raise CannotBeCutError where what is cut from both corners of a side is more than the side has."""
    for place, side in enumerate(sharp):
        cut, following = cuts.get(place), cuts.get((place + 1) % len(sharp))
        used_in = (cut.leaving_in if cut else 0.0) + (following.arriving_in if following else 0.0)
        if used_in <= dist(side.start, side.end) + NO_LENGTH_IN:
            continue
        whole = f"take more than the whole {side.name.split()[1]}"
        if not shape.rounded_corners:
            raise CannotBeCutError(f"the clipped corners {whole}; make the clips smaller", about="clips")
        if not shape.clips:
            raise CannotBeCutError(f"the rounded corners {whole}; make the radius smaller", about="rounded corners")
        raise CannotBeCutError(f"the clipped and rounded corners {whole}; make them smaller", about="rounded corners")


def _check_even_thickness(shape: Shape, sides: list[OutlineSide]) -> None:
    """Raise CannotBeCutError where an arc lies where a face is tapered: its flank would be of no even height."""
    for taper in shape.tapers:
        if not taper.side.endswith("face"):
            continue
        begins, direction = taper_begins_in(taper, shape), towards(taper)
        arcs = [x for side in sides if side.radius_in for x, _ in (side.start, side.end)]
        if any(direction * (x - begins) > NO_LENGTH_IN for x in arcs):
            raise CannotBeCutError(
                "a corner cannot be rounded here where a taper makes the part thinner; leave the rounding out, or "
                "taper edges only",
                about="rounded corners",
            )
