import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.sections import Section, parse_section


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


@pytest.mark.parametrize(
    "row",
    [row for row in verified("softwood_sections.csv") if row["condition"] == "dry"],
    ids=lambda row: row["nominal"],
)
def test_a_nominal_section_measures_what_a_list_of_finished_sections_prints(row: dict[str, str]) -> None:
    # woodworkdetails.com, softwood dimensional lumber sizes: a second source beside the PS 20 table.
    section = parse_section(row["nominal"])
    assert (section.thickness_in, section.width_in) == (Fraction(row["thickness_in"]), Fraction(row["width_in"]))
    if row["mm_status"] == "verified":
        assert section.width_in is not None
        # The list prints whole millimetres.
        assert abs(section.thickness_in * Fraction("25.4") - int(row["thickness_mm"])) <= Fraction(1, 2)
        assert abs(section.width_in * Fraction("25.4") - int(row["width_mm"])) <= Fraction(1, 2)


@pytest.mark.parametrize(
    "row", [row for row in verified("hardwood_thickness.csv") if row["quarter"]], ids=lambda row: row["quarter"]
)
def test_hardwood_quarters_have_the_rough_and_surfaced_thickness_nhla_prints(row: dict[str, str]) -> None:
    # NHLA standard thicknesses, as reproduced on Engineering ToolBox, "Hardwood Lumber - Dimensions".
    section = parse_section(row["quarter"])
    assert section == Section(
        text=row["quarter"],
        thickness_in=Fraction(row["s2s_in_decimal"]),
        width_in=None,
        nominal_thickness_in=Fraction(row["rough_in_decimal"]),
        nominal_width_in=None,
    )
    assert section.random_width


def test_nominal_sizes_are_kept_for_the_board_measure() -> None:
    section = parse_section("5/4x6")
    assert (section.nominal_thickness_in, section.nominal_width_in) == (Fraction(5, 4), Fraction(6))
    assert not section.random_width


def test_five_quarter_with_a_width_is_decking_and_other_quarters_with_a_width_are_hardwood() -> None:
    # PS 20: 5/4 nominal measures 1 in, 6 nominal 5 1/2 in. NHLA: 8/4 surfaced two sides is 1 3/4 in.
    assert parse_section("5/4x6").thickness_in == 1
    assert parse_section("5/4x6").width_in == Fraction(11, 2)
    hardwood = parse_section("8/4x6")
    assert (hardwood.thickness_in, hardwood.width_in, hardwood.nominal_width_in) == (
        Fraction(7, 4),
        Fraction(6),
        Fraction(6),
    )
    assert parse_section("8/4 x 5 1/2").width_in == Fraction(11, 2)


@pytest.mark.parametrize(
    ("text", "thickness_in", "width_in"),
    [
        ("27 x 145 mm", Fraction(2700, 2540), Fraction(14500, 2540)),  # 25.4 mm to the inch
        ("1 1/2 x 3 1/2 in", Fraction(3, 2), Fraction(7, 2)),
        ("27.5 x 95 mm", Fraction(2750, 2540), Fraction(9500, 2540)),
        ("52 mm", Fraction(5200, 2540), None),
        ("1 3/4 in", Fraction(7, 4), None),
    ],
)
def test_a_size_with_a_unit_is_what_a_tape_reads(text: str, thickness_in: Fraction, width_in: Fraction | None) -> None:
    assert parse_section(text) == Section(
        text=text,
        thickness_in=thickness_in,
        width_in=width_in,
        nominal_thickness_in=thickness_in,
        nominal_width_in=width_in,
    )


@pytest.mark.parametrize(
    ("canonical", "spellings"),
    [
        ("2x4", ["2 x 4", "2X4", "2×4", "2 by 4", " 2x4 ", "2.0x4"]),
        ("5/4x6", ["5/4 x 6", "5 / 4 X 6"]),
        ("8/4x5 1/2", ["8/4 x 5½", "8/4 by 5.5"]),
        ("27 x 145 mm", ["27x145mm", "27mm x 145mm", "27 mm x 145", "27,0 x 145 mm"]),
        ("3/4 x 3 1/2 in", ['3/4" x 3 1/2"', "¾ x 3½ in", "3/4” x 3-1/2”", ".75 x 3,5 inches", "3⁄4 in. x 3 1/2 in."]),
        ("1 1/8 in", ["1⅛ in", "1 1/8 inch", "1-1/8''", "1.125 in"]),
    ],
)
def test_every_way_of_writing_a_section_reads_as_the_same_one(canonical: str, spellings: list[str]) -> None:
    assert parse_section(canonical).text == canonical
    for spelling in spellings:
        assert parse_section(spelling) == parse_section(canonical)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("27 x 145", "write 27 x 145 mm"),
        ("18.5x95", "write 18.5 x 95 mm"),
        ("2x7", "2x comes 2, 3, 4, 5, 6, 8, 10, 12, 14, 16 in wide"),
        ("7x7", "write the measured size with its unit"),
        ("6x4", "write the thickness first: 4x6"),
        ("145 x 27 mm", "write the thickness first: 27 x 145 mm"),
        ("3 1/2 x 3 1/2", "write 3 1/2 x 3 1/2 in if that is what a tape reads"),
        ("3/4 x 6", "write 3/4 x 6 in if"),
        ("5/4 x 5 1/2", "write 5/4x6 for decking"),
        ("5/4 x 6 in", "write quarters bare"),
        ("9/4", "4/4, 5/4, 6/4, 7/4, 8/4, 10/4, 12/4, 14/4, 16/4"),
        ("3/4", "write 3/4 in for a thickness in random widths"),
        ("52", "write 52 mm for a thickness in random widths"),
        ("8/4x1", "write the measured size"),
        ("8/4 x 145", "write the width in inches"),
        ("8/4 x 6/4", "write the width in inches"),
        ("2x4x8", "the length has its own column"),
        ("4-Aug", "format the column as text"),
        ("2026-08-04 00:00:00", "format the column as text"),
        ("27 mm x 6 in", "write both sides in one unit"),
        ("2.7 x 14.5 cm", "write the size in mm or in"),
        ("27 1/2 x 145 mm", "write it as a decimal"),
        ("1,250 mm", "write it like"),  # one and a quarter, or twelve hundred and fifty
        ("0 x 3 in", "write it like"),
        ("1/0 in", "write it like"),
        ("pine", "write it like"),
        ("-2x4", "write it like"),
    ],
)
def test_what_is_no_section_is_refused_with_the_text_and_a_remedy(text: str, remedy: str) -> None:
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 - the text is checked below
        parse_section(text)
    assert f'"{text}"' in str(refusal.value)
    assert remedy in str(refusal.value)


def test_a_blank_section_is_refused() -> None:
    with pytest.raises(ValueError, match="a section is missing; write it like 2x4"):
        parse_section("  ")


NOMINAL = st.builds(
    "{}x{}".format, st.sampled_from(["1", "5/4", "2", "3", "4"]), st.sampled_from([4, 5, 6, 8, 10, 12, 14, 16])
)
QUARTERS = st.builds(
    "{}/4{}".format, st.sampled_from([4, 6, 7, 8, 10, 12, 14, 16]), st.sampled_from(["", "x6", " x 5 1/2", "x12.25"])
)
SIXTEENTHS = st.fractions(min_value=Fraction(1, 16), max_value=24, max_denominator=16).map(float)
INCHES = st.tuples(SIXTEENTHS, SIXTEENTHS).map(lambda sides: f"{min(sides):.6f} x {max(sides):.6f} in")
MILLIMETRES = st.tuples(st.decimals("0.1", 999, places=2), st.decimals("0.1", 999, places=2)).map(
    lambda sides: f"{min(sides)} x {max(sides)} mm"
)


@given(st.one_of(NOMINAL, QUARTERS, INCHES, MILLIMETRES))
def test_a_canonical_text_reads_back_as_the_same_section(written: str) -> None:
    section = parse_section(written)
    assert parse_section(section.text) == section


@given(st.one_of(NOMINAL, QUARTERS))
def test_dressed_lumber_is_never_larger_than_its_nominal_size(written: str) -> None:
    section = parse_section(written)
    assert section.thickness_in < section.nominal_thickness_in
    if section.width_in is not None:
        assert section.nominal_width_in is not None
        assert section.width_in <= section.nominal_width_in


@given(st.text(alphabet='0123456789/x. ,-mincby"½', max_size=14))
def test_any_text_is_a_section_or_refused_with_a_remedy(text: str) -> None:
    try:
        section = parse_section(text)
    except ValueError as error:
        refusal = str(error)
    else:
        assert parse_section(section.text) == section
        return
    assert "; " in refusal
