"""Bevelled and compound ends against a polyhedron measured from its eight corners."""

from dataclasses import replace
from fractions import Fraction
from math import radians, sqrt, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from estimator.solid import Clip, Shape, ends_square, face_area_in2, kerf_along, outline, reach_in, surfaces, volume_in3
from estimator.takeoff.lumber import blank_length_in

Points = NDArray[np.float64]

BOARD = Shape(length_in=Fraction(30), width_in=Fraction(4), thickness_in=Fraction(1))


def polyhedron(shape: Shape) -> dict[tuple[int, int, int], Points]:
    """The eight corners by end, edge and face, from the planes x = x0 + y tan(mitre) + z tan(bevel) of both ends."""
    width, thickness = float(shape.width_in), float(shape.thickness_in)
    mitres = [tan(radians(float(one))) for one in (shape.left_degrees, shape.right_degrees)]
    bevels = [tan(radians(float(one))) for one in (shape.left_bevel_degrees, shape.right_bevel_degrees)]
    found = {
        (end, edge, face): np.array(
            [edge * width * mitres[end] + face * thickness * bevels[end], edge * width, face * thickness]
        )
        for end in (0, 1)
        for edge in (0, 1)
        for face in (0, 1)
    }
    lengths = [found[1, edge, face][0] - found[0, edge, face][0] for edge in (0, 1) for face in (0, 1)]
    apart = float(shape.length_in) - max(lengths)  # so that the longest edge has the length
    return {key: point + np.array([apart * key[0], 0, 0]) for key, point in found.items()}


def area(*corners: Points) -> float:
    """The area of a flat quadrilateral, as two triangles by the cross product."""
    a, b, c, d = corners
    halves = np.cross(b - a, c - a), np.cross(c - a, d - a)
    return float(sum(np.linalg.norm(half) for half in halves) / 2)


def volume(corners: dict[tuple[int, int, int], Points]) -> float:
    """The volume as the tetrahedra from the middle to the triangles of all sides (divergence theorem)."""
    middle = np.mean(list(corners.values()), axis=0)
    total = 0.0
    for axis in range(3):
        for side in (0, 1):
            ring = [(0, 0), (1, 0), (1, 1), (0, 1)]
            a, b, c, d = (corners[tuple(np.insert(pair, axis, side).tolist())] for pair in ring)
            for triangle in ((a, b, c), (a, c, d)):
                total += abs(np.linalg.det(np.array([corner - middle for corner in triangle]))) / 6
    return total


degrees = st.integers(-60, 60).map(Fraction)


@given(
    length=st.fractions(4, 80, max_denominator=16),
    width=st.fractions(1, 6, max_denominator=16),
    thickness=st.fractions(Fraction(1, 2), 3, max_denominator=16),
    mitres=st.tuples(degrees, degrees),
    bevels=st.tuples(degrees, degrees),
)
def test_areas_and_volume_are_those_of_the_polyhedron(
    length: Fraction,
    width: Fraction,
    thickness: Fraction,
    mitres: tuple[Fraction, Fraction],
    bevels: tuple[Fraction, Fraction],
) -> None:
    shape = Shape(
        length_in=length,
        width_in=width,
        thickness_in=thickness,
        left_degrees=mitres[0],
        right_degrees=mitres[1],
        left_bevel_degrees=bevels[0],
        right_bevel_degrees=bevels[1],
    )
    at = polyhedron(shape)
    assume(all(at[1, edge, face][0] - at[0, edge, face][0] > 1e-6 for edge in (0, 1) for face in (0, 1)))
    found = surfaces(shape)
    faces = sum(area(at[0, 0, f], at[1, 0, f], at[1, 1, f], at[0, 1, f]) for f in (0, 1))
    edges = sum(area(at[0, e, 0], at[1, e, 0], at[1, e, 1], at[0, e, 1]) for e in (0, 1))
    ends = sum(area(at[n, 0, 0], at[n, 1, 0], at[n, 1, 1], at[n, 0, 1]) for n in (0, 1))
    assert found.faces_ft2 * 144 == pytest.approx(faces)
    assert found.edges_ft2 * 144 == pytest.approx(edges)
    assert found.ends_ft2 * 144 == pytest.approx(ends)
    assert volume_in3(shape) == pytest.approx(volume(at))
    along = [point[0] for point in at.values()]
    assert reach_in(shape) == pytest.approx(max(along) - min(along))


def test_a_bevelled_slat_by_hand() -> None:
    # 30 x 4 x 1 in, square at the left, bevelled 45 degrees at the right, leaning like `\`: the upper face is shorter
    # by tan 45 x 1 = 1 in. Faces 30 x 4 + 29 x 4 = 236; edges 2 x (30 + 29) / 2 x 1 = 59; ends 4 x 1 + 4 x sqrt 2
    # = 9.656854; volume 29.5 x 4 = 118. It reaches no further than its longest edge.
    shape = replace(BOARD, right_bevel_degrees=Fraction(-45))
    found = surfaces(shape)
    assert found.faces_ft2 * 144 == pytest.approx(236)
    assert found.edges_ft2 * 144 == pytest.approx(59)
    assert found.ends_ft2 * 144 == pytest.approx(9.656854)
    assert volume_in3(shape) == pytest.approx(118)
    assert face_area_in2(shape) == pytest.approx(118)
    assert reach_in(shape) == 30
    assert not ends_square(shape)


def test_parallel_bevels_reach_further_than_the_part_is_long() -> None:
    shape = replace(BOARD, left_bevel_degrees=Fraction(45), right_bevel_degrees=Fraction(45))
    assert reach_in(shape) == pytest.approx(31)


def test_a_clip_at_a_square_end_is_measured_though_the_other_is_bevelled() -> None:
    # The clip of 2 x 1 takes 1 in2 off both faces; the lower face is 30 x 4, the upper 29 x 4. Of the edges 2 go, of
    # the square end 1, and sqrt 5 comes: (4 - 1) + 2.236068, and 4 sqrt 2 at the bevel.
    shape = replace(
        BOARD,
        right_bevel_degrees=Fraction(-45),
        clips=(Clip(corner="top left", along_in=Fraction(2), across_in=Fraction(1)),),
    )
    found = surfaces(shape)
    assert found.faces_ft2 * 144 == pytest.approx(234)
    assert found.edges_ft2 * 144 == pytest.approx(57)
    assert found.ends_ft2 * 144 == pytest.approx(3 + sqrt(5) + 4 * sqrt(2))
    assert volume_in3(shape) == pytest.approx(117)


def test_a_corner_of_a_bevelled_end_cannot_be_clipped() -> None:
    clip = Clip(corner="top right", along_in=Fraction(2), across_in=Fraction(1))
    with pytest.raises(ValueError, match="bevelled end cannot be clipped"):
        outline(replace(BOARD, right_bevel_degrees=Fraction(10), clips=(clip,)))


def test_bevels_that_meet_are_refused() -> None:
    short = replace(BOARD, length_in=Fraction(2), left_bevel_degrees=Fraction(45), right_bevel_degrees=Fraction(-45))
    with pytest.raises(ValueError, match="the end cuts meet"):
        surfaces(short)


@given(mitre=degrees, bevel=degrees)
def test_a_blade_takes_its_kerf_square_to_the_cut(mitre: Fraction, bevel: Fraction) -> None:
    # The distance of two parallel planes is their distance along x times the cosine of the normal to x.
    normal = np.array([1, -tan(radians(float(mitre))), -tan(radians(float(bevel)))])
    cosine = 1 / float(np.linalg.norm(normal))
    assert kerf_along(mitre, bevel) * cosine == pytest.approx(1)


def test_a_compound_end_takes_more_of_the_board() -> None:
    # sqrt(1 + tan2 30 + tan2 45) = sqrt(1 + 1/3 + 1) = 1.527525: with a kerf of 1/8 that is 0.065941 more. The part
    # reaches 30: square at the left, both cuts at the right make it shorter elsewhere. 30.065941, on the tape 30 5/64.
    shape = replace(BOARD, right_degrees=Fraction(-30), right_bevel_degrees=Fraction(-45))
    assert blank_length_in(shape, Fraction(1, 8), Fraction(1, 64)) == 30 + Fraction(5, 64)
