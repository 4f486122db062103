from dataclasses import replace
from fractions import Fraction
from math import atan, cos, dist, radians, sin, sqrt, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from estimator.solid import (
    CORNERS,
    Clip,
    Corner,
    Point,
    Shape,
    corners,
    ends_square,
    face_area_in2,
    kerf_along,
    outline,
    reach_in,
    surfaces,
    volume_in3,
)

FAR = 500.0  # beyond every part


def one_piece(found: BaseGeometry) -> Polygon:
    assert isinstance(found, Polygon)
    return found


def long_edges(quad: Polygon, width: float) -> tuple[float, float]:
    """Lengths of the bottom and the top long edge."""
    bottom = quad.intersection(LineString([(-FAR, 1e-9), (FAR, 1e-9)])).length
    top = quad.intersection(LineString([(-FAR, width - 1e-9), (FAR, width - 1e-9)])).length
    return bottom, top


def sawn(shape: Shape) -> Polygon | None:
    """The face as a saw makes it: a strip, cut once at each end; None where the cuts leave no shorter edge.

    The right cut is shifted until the longer edge has the part's length, so nothing here knows which edge that is.
    """
    width, length = float(shape.width_in), float(shape.length_in)
    strip = box(-FAR, 0, FAR, width)
    right_of_left_cut = rotate(box(0, -FAR, 2 * FAR, FAR), -float(shape.left_degrees), origin=(0, 0))
    left_of_right_cut = rotate(box(-2 * FAR, -FAR, 0, FAR), -float(shape.right_degrees), origin=(0, 0))
    trial = 200.0
    quad = one_piece(strip & right_of_left_cut & translate(left_of_right_cut, trial))
    bottom, top = long_edges(quad, width)
    shift = length - max(bottom, top)
    if min(bottom, top) + shift < 1e-6:
        return None
    return one_piece(strip & right_of_left_cut & translate(left_of_right_cut, trial + shift))


def clipped(quad: Polygon, shape: Shape) -> Polygon:
    """The face with a triangle sawn off each clipped corner, reaching out a little so that no hair is left standing."""
    ends = sorted(quad.exterior.coords[:-1], key=lambda point: (round(point[1], 6), point[0]))
    bottom_left, bottom_right, top_left, top_right = ends
    square = dict(zip(CORNERS, (bottom_left, bottom_right, top_right, top_left), strict=True))
    # For each corner the other end of its long edge, and of its end.
    partners: dict[Corner, tuple[Corner, Corner]] = {
        "bottom left": ("bottom right", "top left"),
        "bottom right": ("bottom left", "top right"),
        "top right": ("top left", "bottom right"),
        "top left": ("top right", "bottom left"),
    }
    for clip in shape.clips:
        here = square[clip.corner]
        along, across = (
            LineString([here, square[partner]]).interpolate(float(distance)).coords[0]
            for partner, distance in zip(partners[clip.corner], (clip.along_in, clip.across_in), strict=True)
        )
        outside = [2 * corner - (a + b) / 2 for corner, a, b in zip(here, along, across, strict=True)]
        quad = one_piece(quad.difference(Polygon([outside, along, across])))
    return quad


def near(found: tuple[Point, ...], expected: list[tuple[int, int]]) -> bool:
    return len(found) == len(expected) and all(map(lambda a, b: dist(a, b) < 1e-9, found, expected))


sixteenths = st.integers(16, 1280).map(lambda n: Fraction(n, 16))
half_degrees = st.one_of(st.just(Fraction(0)), st.integers(-130, 130).map(lambda n: Fraction(n, 2)))


@st.composite
def shapes(draw: st.DrawFn, *, clips: bool = True) -> Shape:
    shape = Shape(
        length_in=draw(sixteenths),
        width_in=draw(st.integers(8, 192).map(lambda n: Fraction(n, 16))),
        thickness_in=draw(st.integers(4, 64).map(lambda n: Fraction(n, 16))),
        left_degrees=draw(half_degrees),
        right_degrees=draw(half_degrees),
    )
    if not clips:
        return shape
    named = draw(st.sets(st.sampled_from(CORNERS)))
    # Up to 0.45 of what a square part has: some still fit on slanted ends, some do not.
    parts = st.integers(1, 45).map(lambda n: Fraction(n, 100))
    return replace(
        shape,
        clips=tuple(
            Clip(corner=corner, along_in=shape.length_in * draw(parts), across_in=shape.width_in * draw(parts))
            for corner in CORNERS
            if corner in named
        ),
    )


def test_a_part_with_parallel_ends_is_a_parallelogram() -> None:
    # 24 in long, 4 in wide, both ends at 45 degrees: base x height = 96 in2, both long edges 24 in, both ends
    # 4 x sqrt 2 in; it reaches 24 + 4 = 28 in along the board.
    shape = Shape(
        length_in=Fraction(24),
        width_in=Fraction(4),
        thickness_in=Fraction(3, 2),
        left_degrees=Fraction(45),
        right_degrees=Fraction(45),
    )
    assert face_area_in2(shape) == pytest.approx(96)
    assert reach_in(shape) == pytest.approx(28)
    assert volume_in3(shape) == pytest.approx(96 * 1.5)
    area = surfaces(shape)
    assert area.faces_ft2 == pytest.approx(2 * 96 / 144)
    assert area.edges_ft2 == pytest.approx(2 * 24 * 1.5 / 144)
    assert area.ends_ft2 == pytest.approx(2 * 4 * sqrt(2) * 1.5 / 144)


def test_a_part_with_ends_leaning_to_each_other_is_a_trapezoid() -> None:
    # 24 in on the longer edge, 4 in wide, `/` on the left and `\` on the right at 45 degrees: the shorter edge is
    # 24 - 2 x 4 = 16 in, the face (24 + 16) / 2 x 4 = 80 in2, and it reaches no further than its length.
    shape = Shape(
        length_in=Fraction(24),
        width_in=Fraction(4),
        thickness_in=Fraction(3, 4),
        left_degrees=Fraction(45),
        right_degrees=Fraction(-45),
    )
    assert near(corners(shape), [(0, 0), (24, 0), (20, 4), (4, 4)])
    assert face_area_in2(shape) == pytest.approx(80)
    assert reach_in(shape) == pytest.approx(24)
    area = surfaces(shape)
    assert area.edges_ft2 == pytest.approx((24 + 16) * 0.75 / 144)
    assert area.ends_ft2 == pytest.approx(2 * 4 * sqrt(2) * 0.75 / 144)


def test_the_length_is_taken_on_the_longer_edge_whichever_it_is() -> None:
    # `\` on the left and `/` on the right: now the top edge is the longer one, the bottom 24 - 8 = 16 in.
    shape = Shape(
        length_in=Fraction(24),
        width_in=Fraction(4),
        thickness_in=Fraction(1),
        left_degrees=Fraction(-45),
        right_degrees=Fraction(45),
    )
    assert near(corners(shape), [(0, 0), (16, 0), (20, 4), (-4, 4)])
    assert reach_in(shape) == pytest.approx(24)


def test_a_clipped_corner_takes_a_triangle_and_leaves_its_long_side_as_end() -> None:
    # 10 x 4 in, one corner cut 3 in along and 4 in across would take the whole end; 3 and 2 take 3 in2 and leave
    # a side of sqrt(9 + 4) in.
    shape = Shape(
        length_in=Fraction(10),
        width_in=Fraction(4),
        thickness_in=Fraction(1),
        clips=(Clip(corner="top right", along_in=Fraction(3), across_in=Fraction(2)),),
    )
    assert near(outline(shape), [(0, 0), (10, 0), (10, 2), (7, 4), (0, 4)])
    area = surfaces(shape)
    assert area.faces_ft2 == pytest.approx(2 * (40 - 3) / 144)
    assert area.edges_ft2 == pytest.approx((10 + 7) / 144)
    assert area.ends_ft2 == pytest.approx((4 + 2 + sqrt(13)) / 144)


@settings(max_examples=500)
@given(shapes())
def test_areas_and_volume_are_those_of_the_sawn_piece(shape: Shape) -> None:
    quad = sawn(shape)
    if quad is None:
        with pytest.raises(ValueError, match="the end cuts meet"):
            surfaces(shape)
        return
    slants = {
        "right": float(shape.width_in) / cos(radians(float(shape.right_degrees))),
        "left": float(shape.width_in) / cos(radians(float(shape.left_degrees))),
    }
    edges = dict(zip(("bottom", "top"), long_edges(quad, float(shape.width_in)), strict=True))
    taken = dict.fromkeys((*slants, *edges), 0.0)
    for clip in shape.clips:
        level, side = clip.corner.split()
        taken[level] += float(clip.along_in)
        taken[side] += float(clip.across_in)
    if any(taken[side] > length + 1e-6 for side, length in (slants | edges).items()):
        with pytest.raises(ValueError, match="make the clips smaller"):
            surfaces(shape)
        return
    face = clipped(quad, shape)
    thickness = float(shape.thickness_in)
    run_along = sum(edges[level] - taken[level] for level in edges)
    found = surfaces(shape)
    assert face_area_in2(shape) == pytest.approx(face.area, abs=1e-5)
    assert found.faces_ft2 * 144 == pytest.approx(2 * face.area, abs=1e-5)
    assert found.edges_ft2 * 144 == pytest.approx(run_along * thickness, abs=1e-5)
    assert found.ends_ft2 * 144 == pytest.approx((face.exterior.length - run_along) * thickness, abs=1e-5)
    assert volume_in3(shape) == pytest.approx(face.area * thickness, abs=1e-4)


@given(shapes(clips=False))
def test_a_piece_reaches_as_far_as_the_box_around_it(shape: Shape) -> None:
    quad = sawn(shape)
    if quad is None:
        return
    left, _, right, _ = quad.bounds
    assert reach_in(shape) == pytest.approx(right - left, abs=1e-6)
    if ends_square(shape):
        assert reach_in(shape) == float(shape.length_in)


@given(shapes(clips=False))
def test_a_piece_turned_over_or_end_for_end_is_the_same_piece(shape: Shape) -> None:
    if sawn(shape) is None:
        return
    turned = replace(shape, left_degrees=shape.right_degrees, right_degrees=shape.left_degrees)
    flipped = replace(shape, left_degrees=-shape.left_degrees, right_degrees=-shape.right_degrees)
    for other in (turned, flipped):
        assert face_area_in2(other) == pytest.approx(face_area_in2(shape))
        assert reach_in(other) == pytest.approx(reach_in(shape))
        assert surfaces(other).ends_ft2 == pytest.approx(surfaces(shape).ends_ft2)


def test_end_cuts_that_meet_are_refused() -> None:
    # Two ends of 45 degrees leaning to each other take 2 x 4 = 8 in off the shorter edge of a piece 4 in wide.
    meeting = Shape(
        length_in=Fraction(8),
        width_in=Fraction(4),
        thickness_in=Fraction(1),
        left_degrees=Fraction(45),
        right_degrees=Fraction(-45),
    )
    with pytest.raises(ValueError, match="shorter long edge would have no length"):
        outline(meeting)
    just_apart = outline(replace(meeting, length_in=Fraction(8) + Fraction(1, 16)))
    assert just_apart[2][0] - just_apart[3][0] == pytest.approx(1 / 16)


def test_a_corner_clipped_twice_is_refused() -> None:
    clip = Clip(corner="top left", along_in=Fraction(1), across_in=Fraction(1))
    shape = Shape(length_in=Fraction(20), width_in=Fraction(4), thickness_in=Fraction(1), clips=(clip, clip))
    with pytest.raises(ValueError, match="clipped twice"):
        outline(shape)


def test_the_lean_of_an_end_is_width_times_the_tangent() -> None:
    # tan 15 = 0.267949, so an end 3 1/2 in wide leans 0.937822 in.
    shape = Shape(
        length_in=Fraction(20),
        width_in=Fraction(7, 2),
        thickness_in=Fraction(3, 2),
        left_degrees=Fraction(15),
        right_degrees=Fraction(15),
    )
    assert corners(shape)[3][0] == pytest.approx(0.937822, abs=1e-6)
    assert reach_in(shape) == pytest.approx(20 + 3.5 * tan(radians(15)))


def test_a_compound_end_worked_out_by_hand() -> None:
    # 24 in long, 3 wide, 2 thick; the left end leans `/` at 45 degrees on the face and on the edge, the right one is
    # square. tan 45 = 1, so the left end lies at x = y + z and the right one at x = 24. The long edges:
    #   near edge, lower face (y 0, z 0): 24        far edge, lower face (y 3, z 0): 24 - 3 = 21
    #   near edge, upper face (y 0, z 2): 24 - 2 = 22    far edge, upper face: 24 - 3 - 2 = 19
    # Faces: lower (24 + 21) / 2 x 3 = 67.5, upper (22 + 19) / 2 x 3 = 61.5, both 129.
    # Edges: near (24 + 22) / 2 x 2 = 46, far (21 + 19) / 2 x 2 = 40, both 86.
    # Ends: right 3 x 2 = 6; left 6 x sqrt(1 + 1 + 1) = 10.392305.
    # Volume: the bar has 24 x 3 x 2 = 144; the cut takes as much as its mean depth 1.5 + 1 of the 6 in2: 15; 129.
    shape = Shape(
        length_in=Fraction(24),
        width_in=Fraction(3),
        thickness_in=Fraction(2),
        left_degrees=Fraction(45),
        left_bevel_degrees=Fraction(45),
    )
    area = surfaces(shape)
    assert area.faces_ft2 * 144 == pytest.approx(129)
    assert area.edges_ft2 * 144 == pytest.approx(86)
    assert area.ends_ft2 * 144 == pytest.approx(16.392305)
    assert volume_in3(shape) == pytest.approx(129)
    assert reach_in(shape) == pytest.approx(24)
    # With the right end parallel all long edges are 24, and it reaches 24 + 3 + 2.
    parallel = replace(shape, right_degrees=Fraction(45), right_bevel_degrees=Fraction(45))
    assert reach_in(parallel) == pytest.approx(29)
    assert volume_in3(parallel) == pytest.approx(24 * 3 * 2)


@st.composite
def bevelled(draw: st.DrawFn, *, clips: bool = False) -> Shape:
    """Parts so long that no end cut meets another, nor one half-way along; either bevelled or with clips."""
    angles = st.integers(-90, 90).map(lambda n: Fraction(n, 2))
    shape = replace(
        draw(shapes(clips=False)),
        length_in=draw(st.integers(768, 1280).map(lambda n: Fraction(n, 16))),
        width_in=draw(st.integers(8, 64).map(lambda n: Fraction(n, 16))),
        left_degrees=draw(angles),
        right_degrees=draw(angles),
    )
    if not clips:
        return replace(shape, left_bevel_degrees=draw(angles), right_bevel_degrees=draw(angles))
    shares = st.integers(1, 45).map(lambda n: Fraction(n, 100))
    return replace(
        shape,
        clips=tuple(
            Clip(corner=corner, along_in=2 * draw(shares), across_in=shape.width_in * draw(shares))
            for corner in CORNERS
            if draw(st.booleans())
        ),
    )


def total(*pieces: Shape) -> tuple[float, float, float, float]:
    """Areas of faces, edges and ends in square inches, and the volume, of several pieces together."""
    areas = [surfaces(piece) for piece in pieces]
    return (
        144 * sum(area.faces_ft2 for area in areas),
        144 * sum(area.edges_ft2 for area in areas),
        144 * sum(area.ends_ft2 for area in areas),
        sum(volume_in3(piece) for piece in pieces),
    )


def longest_in(*, near_below_in: float, wider_in: float, higher_in: float) -> Fraction:
    """Length of the longest of four long edges, from the near lower one and what the others have more."""
    return Fraction(near_below_in + max(wider_in, 0.0) + max(higher_in, 0.0))


@given(
    whole=bevelled(clips=True),
    mitre=st.integers(-45, 45).map(Fraction),
    bevel=st.integers(-45, 45).map(Fraction),
)
def test_a_clipped_part_sawn_in_two_has_what_both_halves_have(whole: Shape, mitre: Fraction, bevel: Fraction) -> None:
    # Half of the nearer edge goes to the left; the new ends are the two sides of one cut of no kerf.
    width, thickness = float(whole.width_in), float(whole.thickness_in)
    left, right, cut = (width * tan(radians(float(one))) for one in (whole.left_degrees, whole.right_degrees, mitre))
    through = thickness * tan(radians(float(bevel)))
    near = float(whole.length_in) - max(right - left, 0.0)
    clips = {side: tuple(clip for clip in whole.clips if clip.corner.endswith(side)) for side in ("left", "right")}
    halves = (
        replace(
            whole,
            length_in=longest_in(near_below_in=near / 2, wider_in=cut - left, higher_in=through),
            right_degrees=mitre,
            right_bevel_degrees=bevel,
            clips=clips["left"],
        ),
        replace(
            whole,
            length_in=longest_in(near_below_in=near / 2, wider_in=right - cut, higher_in=-through),
            left_degrees=mitre,
            left_bevel_degrees=bevel,
            clips=clips["right"],
        ),
    )
    faces, edges, ends, volume = total(*halves)
    # Each side of the cut is a parallelogram of the vectors (cut, width, 0) and (through, 0, thickness).
    side = sqrt((width * thickness) ** 2 + (cut * thickness) ** 2 + (through * width) ** 2)
    assert total(whole) == pytest.approx((faces, edges, ends - 2 * side, volume))


@given(bevelled())
def test_a_part_tipped_onto_its_edge_has_its_faces_for_edges(shape: Shape) -> None:
    tipped = replace(
        shape,
        width_in=shape.thickness_in,
        thickness_in=shape.width_in,
        left_degrees=shape.left_bevel_degrees,
        left_bevel_degrees=shape.left_degrees,
        right_degrees=shape.right_bevel_degrees,
        right_bevel_degrees=shape.right_degrees,
    )
    faces, edges, ends, volume = total(shape)
    assert total(tipped) == pytest.approx((edges, faces, ends, volume))
    assert reach_in(tipped) == pytest.approx(reach_in(shape))


@given(bevelled())
def test_a_bevelled_piece_turned_over_or_end_for_end_is_the_same_piece(shape: Shape) -> None:
    # Half a turn about the upright axis takes (x, y, z) to (-x, -y, z); about the long axis it takes y, z to -y, -z.
    end_for_end = replace(
        shape,
        left_degrees=shape.right_degrees,
        right_degrees=shape.left_degrees,
        left_bevel_degrees=-shape.right_bevel_degrees,
        right_bevel_degrees=-shape.left_bevel_degrees,
    )
    over = replace(
        shape,
        left_degrees=-shape.left_degrees,
        right_degrees=-shape.right_degrees,
        left_bevel_degrees=-shape.left_bevel_degrees,
        right_bevel_degrees=-shape.right_bevel_degrees,
    )
    for turned in (end_for_end, over):
        assert total(turned) == pytest.approx(total(shape))
        assert reach_in(turned) == pytest.approx(reach_in(shape))


@given(mitre=st.integers(-75, 75), bevel=st.integers(-75, 75))
def test_a_blade_tilted_less_than_the_bevel_leaves_the_bevel(mitre: int, bevel: int) -> None:
    # A blade for a square cut has the normal (1, 0, 0). Tilted by t about the line it travels along, it has
    # (cos t, 0, -sin t); then turned by the mitre m it has (cos t cos m, -cos t sin m, -sin t). That must be the normal
    # of x = y tan(mitre) + z tan(bevel), and the kerf along x is the kerf over the normal's first part.
    tilt = atan(tan(radians(bevel)) * cos(radians(mitre)))
    along, across, up = cos(tilt) * cos(radians(mitre)), -cos(tilt) * sin(radians(mitre)), -sin(tilt)
    assert -across / along == pytest.approx(tan(radians(mitre)))
    assert -up / along == pytest.approx(tan(radians(bevel)))
    assert kerf_along(Fraction(mitre), Fraction(bevel)) == pytest.approx(1 / along)


def test_a_clip_must_fit_the_upper_and_the_lower_face() -> None:
    # The lower face is 3 in long and the upper one, under a bevel of 45 degrees through 1 1/2 in, is 1 1/2 in. A clip
    # of 2 1/2 in fits the lower alone.
    shape = Shape(
        length_in=Fraction(3),
        width_in=Fraction(7, 2),
        thickness_in=Fraction(3, 2),
        right_bevel_degrees=Fraction(-45),
        clips=(Clip(corner="top left", along_in=Fraction(5, 2), across_in=Fraction(1)),),
    )
    with pytest.raises(ValueError, match="more than the whole edge; make the clips smaller"):
        surfaces(shape)
