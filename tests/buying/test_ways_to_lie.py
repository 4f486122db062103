from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import product
from math import radians, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.ways_to_lie import Lean, Way, ways_to_lie
from estimator.reading.order import read_order
from estimator.reading.parts import Part

TURNS = {  # half turns about the upright, the long and the short axis
    "as drawn": np.diag([1, 1, 1]),
    "end for end": np.diag([-1, -1, 1]),
    "over lengthwise": np.diag([1, -1, -1]),
    "over end for end": np.diag([-1, 1, -1]),
}


@cache
def drawn() -> Part:
    folder = Path(__file__).parents[1] / "hand_worked" / "plant_stands"
    return read_order(folder, today=date(2026, 3, 2)).items[0].build.parts[0]


def part(left: tuple[int, int], right: tuple[int, int], *, show_face: bool = False) -> Part:
    """A part with the mitre and the bevel of both ends."""
    shape = replace(
        drawn().shape,
        left_degrees=Fraction(left[0]),
        left_bevel_degrees=Fraction(left[1]),
        right_degrees=Fraction(right[0]),
        right_bevel_degrees=Fraction(right[1]),
        clips=(),
    )
    return replace(drawn(), shape=shape, show_face=show_face)


def signs(way: Way) -> tuple[tuple[int, int], tuple[int, int]]:
    return (int(way.near.mitre), int(way.near.bevel)), (int(way.far.mitre), int(way.far.bevel))


def end_points(lean: Lean, start: float) -> np.ndarray:
    """The four corners of an end of a piece 3 wide and 1 thick: x = start + y tan(mitre) + z tan(bevel)."""
    rises = tan(radians(float(lean.mitre))), tan(radians(float(lean.bevel)))
    return np.array([(start + y * rises[0] + z * rises[1], y, z) for y, z in product((0, 3), (0, 1))])


angles = st.integers(-45, 45)


@given(left=st.tuples(angles, angles), right=st.tuples(angles, angles))
def test_a_piece_turned_in_space_has_the_ends_its_way_says(left: tuple[int, int], right: tuple[int, int]) -> None:
    ways = ways_to_lie(part(left, right))
    near, far = end_points(ways[0].near, 0), end_points(ways[0].far, 30)
    for way in ways:
        turned = [points @ TURNS[way.turn] for points in (near, far)]
        turned.sort(key=lambda points: points[:, 0].mean())
        for points, lean in zip(turned, (way.near, way.far), strict=True):
            expected = tan(radians(float(lean.mitre))), tan(radians(float(lean.bevel)))
            along = points[:, 0] - points[:, 1] * expected[0] - points[:, 2] * expected[1]
            assert np.ptp(along) == pytest.approx(0, abs=1e-9)


def test_a_square_piece_lies_one_way() -> None:
    assert [way.turn for way in ways_to_lie(part((0, 0), (0, 0)))] == ["as drawn"]


def test_parallel_ends_stay_as_they_are_end_for_end_and_lean_the_other_way_turned_over() -> None:
    # A parallelogram turned on the bench is the same parallelogram; its other face shows its mirror image.
    ways = ways_to_lie(part((15, 0), (15, 0)))
    assert [(way.turn, *signs(way)) for way in ways] == [
        ("as drawn", (15, 0), (15, 0)),
        ("over lengthwise", (-15, 0), (-15, 0)),
    ]


def test_a_bevel_leans_the_other_way_end_for_end() -> None:
    # On edge, `/` through the thickness at the right end is `\` at the left once the piece is turned on its face.
    ways = ways_to_lie(part((0, 0), (0, 30), show_face=True))
    assert [signs(way) for way in ways] == [((0, 0), (0, 30)), ((0, -30), (0, 0))]


def test_a_part_with_a_face_to_show_is_not_turned_over() -> None:
    turns = [way.turn for way in ways_to_lie(part((15, 0), (8, 0), show_face=True))]
    assert turns == ["as drawn", "end for end"]
    assert len(ways_to_lie(part((15, 0), (8, 0)))) == 4
