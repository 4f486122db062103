import csv
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.standards.lumber_sizes import (
    hardwood_rough_thicknesses_in,
    hardwood_surfaced_in,
    softwood_dressed_in,
    softwood_widths_in,
)


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


# A width or thickness of the same class to go with the side under test.
PARTNER_IN = {"board": {"thickness": 1, "width": 16}, "dimension": {"thickness": 2, "width": 16}}


@pytest.mark.parametrize("row", [row for row in verified("softwood_dressed_sizes.csv") if row["condition"] == "dry"])
def test_softwood_measures_what_ps_20_prints_for_dry_lumber(row: dict[str, str]) -> None:
    # NIST PS 20 size table, as reproduced on Engineering ToolBox, "Softwood Lumber - Standard Sizes".
    nominal_in = Fraction(row["nominal_in_decimal"])
    dressed_in = Fraction(row["minimum_dressed_in_decimal"])
    if row["item_class"] == "timber":
        square = softwood_dressed_in(nominal_thickness_in=nominal_in, nominal_width_in=nominal_in)
        assert square == (dressed_in, dressed_in)
    elif row["dimension"] == "thickness":
        width_in = Fraction(PARTNER_IN[row["item_class"]]["width"])
        assert softwood_dressed_in(nominal_thickness_in=nominal_in, nominal_width_in=width_in)[0] == dressed_in
    else:
        thickness_in = Fraction(PARTNER_IN[row["item_class"]]["thickness"])
        assert softwood_dressed_in(nominal_thickness_in=thickness_in, nominal_width_in=nominal_in)[1] == dressed_in


@pytest.mark.parametrize(
    "row", [row for row in verified("hardwood_thickness.csv") if row["quarter"]], ids=lambda row: row["quarter"]
)
def test_hardwood_surfaced_on_two_sides_measures_what_nhla_prints(row: dict[str, str]) -> None:
    # NHLA standard thicknesses, as reproduced on Engineering ToolBox, "Hardwood Lumber - Dimensions".
    assert hardwood_surfaced_in(Fraction(row["rough_in_decimal"])) == Fraction(row["s2s_in_decimal"])


def test_planing_takes_something_off_every_thickness_and_keeps_their_order() -> None:
    rough_in = hardwood_rough_thicknesses_in()
    surfaced_in = [hardwood_surfaced_in(one) for one in rough_in]
    assert surfaced_in == sorted(surfaced_in)
    assert all(surfaced < rough for surfaced, rough in zip(surfaced_in, rough_in, strict=True))


def test_a_timber_is_no_narrower_than_five_inches_and_softwood_7_in_thick_is_not_listed() -> None:
    # PS 20: timbers are 5 in and larger on both sides.
    assert softwood_widths_in(Fraction(6))[0] == 5
    assert softwood_widths_in(Fraction(7)) == ()
