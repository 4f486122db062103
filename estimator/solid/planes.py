"""The blank of a piece with its ends cut, its corners and reach; the planes that its sides and tapers lie in."""

from fractions import Fraction
from math import radians, tan

from estimator.solid.half_spaces import HalfSpace, Vector, half_space
from estimator.solid.shape import SIDES, CannotBeCutError, Shape, Side, Taper, end_offset_in

Point = tuple[float, float]

NO_LENGTH_IN = 1e-9  # the tangent of 45 degrees comes out a hair under 1
_OUTWARDS: dict[Side, Vector] = {
    "bottom edge": (0.0, -1.0, 0.0),
    "top edge": (0.0, 1.0, 0.0),
    "lower face": (0.0, 0.0, -1.0),
    "upper face": (0.0, 0.0, 1.0),
}


def heights_in(shape: Shape) -> tuple[float, float]:
    """Return how high both faces lie, in inches."""
    return 0.0, float(shape.thickness_in)


def corners(shape: Shape, height_in: float = 0.0) -> tuple[Point, Point, Point, Point]:
    """Return the four corners of the blank with its ends cut, in the order of CORNERS, in inches, so high up.

    Raises CannotBeCutError where the end cuts meet before they reach the other side: a long edge would have no length.
    """
    across, through = shape.width_in, shape.thickness_in
    left, right = (end_offset_in(degrees, across) for degrees in (shape.left_degrees, shape.right_degrees))
    wider = right - left  # how much longer the top edge is than the bottom edge
    higher = end_offset_in(shape.right_bevel_degrees, through) - end_offset_in(shape.left_bevel_degrees, through)
    if float(shape.length_in) - abs(wider) - abs(higher) < NO_LENGTH_IN:
        raise CannotBeCutError(
            "the end cuts meet: the shorter long edge would have no length; mend the angles or the length", about="ends"
        )
    near = end_offset_in(shape.left_bevel_degrees, Fraction(height_in))
    far = float(shape.length_in) - max(wider, 0.0) - max(higher, 0.0)
    far += end_offset_in(shape.right_bevel_degrees, Fraction(height_in))
    width = float(across)
    return (near, 0.0), (far, 0.0), (far + right, width), (near + left, width)


def furthest_in(shape: Shape) -> tuple[float, float]:
    """Return how far along the board the blank's furthest points lie, to the left and to the right, in inches."""
    along = [x for height in heights_in(shape) for x, _ in corners(shape, height)]
    return min(along), max(along)


def reach_in(shape: Shape) -> float:
    """Return how far one piece reaches along the board, from its furthest point to its furthest point, in inches.

    Tapers, clips and rounded corners are cut afterwards and change nothing in it.
    """
    left, right = furthest_in(shape)
    return right - left


def size_in(shape: Shape) -> float:
    """Return a distance from the origin that no point of the blank lies beyond, in inches."""
    return reach_in(shape) + float(shape.width_in) + float(shape.thickness_in)


def side_cuts(shape: Shape) -> tuple[HalfSpace, ...]:
    """Return the planes of the faces, the long edges and the ends, before anything is tapered or clipped."""
    (near, _), (far, _), *_ = corners(shape)
    left, right = (
        (1.0, -tan(radians(float(mitre))), -tan(radians(float(bevel))))
        for mitre, bevel in (
            (shape.left_degrees, shape.left_bevel_degrees),
            (shape.right_degrees, shape.right_bevel_degrees),
        )
    )
    return (
        *(half_space(side, _OUTWARDS[side], (0.0, *_place_of(side, shape))) for side in SIDES),
        half_space("left end", (-left[0], -left[1], -left[2]), (near, 0.0, 0.0)),
        half_space("right end", right, (far, 0.0, 0.0)),
    )


def taper_cuts(shape: Shape) -> tuple[HalfSpace, ...]:
    """Return the plane of each taper, named by the side that it takes from."""
    cuts = []
    for taper in shape.tapers:
        _, across, up = _OUTWARDS[taper.side]
        slope = towards(taper) * float(taper.depth_in / taper.length_in)
        begins = (taper_begins_in(taper, shape), *_place_of(taper.side, shape))
        cuts.append(half_space(taper.side, (slope, across, up), begins))
    return tuple(cuts)


def _place_of(side: Side, shape: Shape) -> tuple[float, float]:
    """Return how far across the face and how high up a side lies, in inches."""
    return (
        float(shape.width_in) if side == "top edge" else 0.0,
        float(shape.thickness_in) if side == "upper face" else 0.0,
    )


def towards(taper: Taper) -> int:
    """Return 1 for a taper that deepens to the right, -1 to the left."""
    return 1 if taper.end == "right" else -1


def taper_begins_in(taper: Taper, shape: Shape) -> float:
    """Return how far along the board a taper begins to take something off."""
    left, right = furthest_in(shape)
    return (right if taper.end == "right" else left) - towards(taper) * float(taper.length_in)
