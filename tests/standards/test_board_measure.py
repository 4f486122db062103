import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.board_measure import (
    BOARD_FOOT_FT3,
    BOARD_FOOT_IN3,
    BOARD_FOOT_M3,
    board_feet,
    board_feet_random_width,
    surface_measure_ft2,
)


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


def published(row_id: str) -> Fraction:
    (row,) = [row for row in verified("board_measure.csv") if row["id"] == row_id]
    return Fraction(row["expected_value"])


@pytest.mark.parametrize(
    "row", [row for row in verified("board_measure.csv") if row["kind"] == "example"], ids=lambda row: row["id"]
)
def test_board_feet_are_what_worked_examples_print(row: dict[str, str]) -> None:
    # US Army EN5155, furnituremaking.us book excerpts, shipgsl.com, examzify.com: see the row's source.
    counted = board_feet(
        thickness_in=Fraction(row["thickness_in"]),
        width_in=Fraction(row["width_in"]),
        length_ft=Fraction(row["length_ft"]),
        pieces=int(row["pieces"]),
    )
    # The coarsest answer is printed to two decimals (33.33).
    assert abs(counted - Fraction(row["expected_value"])) <= Fraction("0.005")


def test_fourteen_boards_come_to_the_mixed_number_the_army_course_prints() -> None:
    # US Army correspondence course EN5155: 14 pieces of 1 x 4 x 8 ft are 37 1/3 board feet.
    assert board_feet(thickness_in=1, width_in=4, length_ft=8, pieces=14) == 37 + Fraction(1, 3)


def test_stock_under_an_inch_thick_counts_as_one_inch() -> None:
    # Rule: US Navy, Engineering Aid Basic, lumber chapter (tpub.com engbas 6-3). 1 x 6 x 8 / 12 = 4.
    assert board_feet(thickness_in=Fraction(1, 2), width_in=6, length_ft=8) == 4
    assert board_feet_random_width(thickness_in=Fraction(3, 4), width_in=6, length_ft=8) == 4


def test_surface_measure_drops_part_of_a_foot_and_rounds_to_whole_square_feet() -> None:
    # B. Sabastina, hardwood grading article (1998): 6 7/16 in x 10 ft 9 in is 5.36 unrounded, tallied as 5.
    width_in = Fraction("6.4375")
    assert surface_measure_ft2(width_in=width_in, length_ft=Fraction("10.75")) == published(
        "hardwood_6-7/16in_x_10ft9in"
    )
    assert abs(width_in * 10 / 12 - published("hardwood_6-7/16in_x_10ft_unrounded")) <= Fraction("0.005")


def test_surface_measure_is_rounded_before_thickness_counts() -> None:
    # americanhardwood.org, Grading sawn lumber, Measurement, worked example under NHLA rules:
    # 2 in x 6 1/4 in x 8 ft -> surface measure 4 (from 4 1/6) -> 8 board feet, not 8 1/3.
    assert surface_measure_ft2(width_in=Fraction(25, 4), length_ft=8) == 4
    assert board_feet_random_width(thickness_in=2, width_in=Fraction(25, 4), length_ft=8) == 8


def test_each_random_board_is_rounded_by_itself() -> None:
    # 5 in x 10 ft is 4 1/6, tallied as 4: three boards of 5/4 are 3 x 4 x 5/4 = 15, not 15 5/8.
    assert board_feet_random_width(thickness_in=Fraction(5, 4), width_in=5, length_ft=10, pieces=3) == 15


def test_half_a_square_foot_of_surface_is_rounded_up() -> None:
    # 6 in x 9 ft is 4 1/2 square feet.
    assert surface_measure_ft2(width_in=6, length_ft=9) == 5


def test_a_board_foot_has_the_volume_the_unit_tables_print() -> None:
    # GNU Units 3.22: boardfoot = ft^2 inch; NIST prints 2.359 737 E-03 m3.
    assert published("board_foot_in3") == BOARD_FOOT_IN3
    assert published("board_foot_m3") == BOARD_FOOT_M3
    assert published("mbf_m3") == 1000 * BOARD_FOOT_M3
    assert 12 * 12 * 12 * BOARD_FOOT_FT3 == BOARD_FOOT_IN3


@pytest.mark.parametrize(
    ("density_lb_per_ft3", "row_id"), [(23, "redcedar_western_23lbft3"), (32, "cedar_alaska_32lbft3")]
)
def test_a_board_foot_weighs_a_twelfth_of_a_cubic_foot(density_lb_per_ft3: int, row_id: str) -> None:
    # Surveyors Lexicon, "Cedar, Western Red" and "Cedar, Alaska": pounds per board foot printed to two decimals.
    assert abs(density_lb_per_ft3 * BOARD_FOOT_FT3 - published(row_id)) <= Fraction("0.005")


@given(
    thickness_in=st.fractions(1, 4, max_denominator=8),
    width_in=st.fractions(1, 16, max_denominator=8),
    length_ft=st.fractions(1, 20, max_denominator=12),
    pieces=st.integers(1, 500),
)
def test_board_feet_are_the_nominal_volume(
    thickness_in: Fraction, width_in: Fraction, length_ft: Fraction, pieces: int
) -> None:
    volume_in3 = pieces * thickness_in * width_in * length_ft * 12
    counted = board_feet(thickness_in=thickness_in, width_in=width_in, length_ft=length_ft, pieces=pieces)
    assert counted * BOARD_FOOT_IN3 == volume_in3
