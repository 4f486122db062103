"""What tapers and rounded corners change in a take-off: weight, work and area, and not what is cut from a board."""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.solid import CORNERS, RoundedCorner, Shape, Taper
from estimator.standards.sections import parse_section
from estimator.takeoff.lumber import blank_length_in, lumber_needs, weight_of
from estimator.takeoff.work import work_counts

# A leg 24 x 3 x 1 1/2 in of a 2x4; its top edge and its upper face run in to half over the whole length.
LEG = Shape(length_in=Fraction(24), width_in=Fraction(3), thickness_in=Fraction(3, 2))
TAPERS = (
    Taper(end="right", side="top edge", depth_in=Fraction(3, 2), length_in=Fraction(24)),
    Taper(end="right", side="upper face", depth_in=Fraction(3, 4), length_in=Fraction(24)),
)


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def item(shape: Shape) -> OrderedBuild:
    """Three units of a build of four such parts."""
    build = stands().items[0].build
    leg = replace(build.parts[0], section=parse_section("2x4"), quantity=4, shape=shape, hidden=())
    return OrderedBuild(build=replace(build, parts=(leg,)), quantity=3)


def test_each_tapered_side_is_a_rip_more() -> None:
    assert work_counts(item(LEG))["rip"] == 3 * 4  # narrower than its board
    assert work_counts(item(replace(LEG, tapers=TAPERS)))["rip"] == 3 * 4 * 3
    whole = replace(LEG, width_in=Fraction(7, 2))
    assert work_counts(item(replace(whole, tapers=TAPERS[:1])))["rip"] == 3 * 4


def test_each_rounded_corner_is_a_cut_more() -> None:
    corners = tuple(RoundedCorner(corner=corner, radius_in=Fraction(1, 2)) for corner in CORNERS[:2])
    assert work_counts(item(LEG))["cut"] == 3 * 4 * 2
    assert work_counts(item(replace(LEG, rounded_corners=corners)))["cut"] == 3 * 4 * (2 + 2)


def test_a_tapered_part_weighs_what_is_left_of_it() -> None:
    # Both sides shrink to half, so the section is A (1 - t/2)^2 along the length: 1 - 1/2 + 1/12 = 7/12 of the bar.
    whole, _ = weight_of((item(LEG),))
    left, _ = weight_of((item(replace(LEG, tapers=TAPERS)),))
    assert whole > 0
    assert left == pytest.approx(whole * 7 / 12)


def test_a_tapered_part_takes_as_much_of_a_board_as_before() -> None:
    leaning = replace(LEG, right_degrees=Fraction(15), left_degrees=Fraction(15))
    for shape in (LEG, leaning):
        tapered = replace(shape, tapers=TAPERS)
        step = Fraction(1, 64)
        assert blank_length_in(tapered, Fraction(1, 8), step) == blank_length_in(shape, Fraction(1, 8), step)
        (before,), (after,) = (lumber_needs((item(one),), stands()) for one in (shape, tapered))
        assert [(one.blank_length_in, one.blank_width_in, one.strips) for one in after.pieces] == [
            (one.blank_length_in, one.blank_width_in, one.strips) for one in before.pieces
        ]
        assert after.net_volume_ft3 < before.net_volume_ft3
