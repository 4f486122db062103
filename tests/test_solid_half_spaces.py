from math import sqrt

import pytest

from estimator.solid.half_spaces import HalfSpace, area_in2, face_on, half_space, volume_of

CUBE = (
    half_space("left", (-1, 0, 0), (0, 0, 0)),
    half_space("right", (1, 0, 0), (1, 1, 1)),
    half_space("front", (0, -1, 0), (0, 0, 0)),
    half_space("back", (0, 1, 0), (1, 1, 1)),
    half_space("below", (0, 0, -1), (0, 0, 0)),
    half_space("above", (0, 0, 1), (1, 1, 1)),
)
SIZE = 4.0


def areas(*cuts: HalfSpace) -> list[tuple[HalfSpace, float]]:
    return [(cut, area_in2(face_on(cut, cuts, SIZE))) for cut in cuts]


def test_a_cube_has_six_equal_faces() -> None:
    found = areas(*CUBE)
    assert [area for _, area in found] == pytest.approx([1] * 6)
    assert volume_of(found) == pytest.approx(1)


def test_a_corner_sawn_off_through_three_corners_of_a_cube() -> None:
    # The plane x + y + z = 2 meets the cube in an equilateral triangle of side sqrt 2: sqrt(3) / 4 x 2 = 0.8660 in2.
    # Three faces lose half; a pyramid of base 1/2 and height 1 goes: 1/6 in3.
    corner = half_space("corner", (1, 1, 1), (1, 1, 0))
    found = areas(*CUBE, corner)
    assert dict(found)[corner] == pytest.approx(sqrt(3) / 2)
    assert sorted(area for _, area in found) == pytest.approx([0.5, 0.5, 0.5, sqrt(3) / 2, 1, 1, 1])
    assert volume_of(found) == pytest.approx(5 / 6)


@pytest.mark.parametrize("through", [(1, 1, 0.5), (1.5, 1, 1)], ids=["touches an edge", "passes by"])
def test_a_cut_that_takes_nothing_has_no_face(through: tuple[float, float, float]) -> None:
    idle = half_space("idle", (1, 1, 0), through)
    found = areas(*CUBE, idle)
    assert dict(found)[idle] == pytest.approx(0)
    assert volume_of(found) == pytest.approx(1)


def test_each_side_of_a_face_is_named_by_the_cut_that_made_it() -> None:
    # Seen from above: front, right, the slanting cut from (1, 1/2) to (1/2, 1), back, left.
    slanting = half_space("slanting", (1, 1, 0), (1, 0.5, 0))
    face = face_on(CUBE[5], (*CUBE, slanting), SIZE)
    named = {label: corner for corner, label in face}
    assert named["slanting"] == pytest.approx((1, 0.5, 1))
    assert named["back"] == pytest.approx((0.5, 1, 1))
    order = [label for _, label in face]
    start = order.index("front")
    assert order[start:] + order[:start] == ["front", "right", "slanting", "back", "left"]


def test_a_cut_away_body_has_neither_faces_nor_volume() -> None:
    found = areas(*CUBE, half_space("beyond", (1, 0, 0), (-1, 0, 0)))
    assert volume_of(found) == 0
    assert all(area == 0 for _, area in found)
