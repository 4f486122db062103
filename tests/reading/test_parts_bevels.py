"""Bevels, the face that must show and parts that match, as they are read from parts.csv."""

from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.parts import Part, read_parts


def read(folder: Path, headings: str, *rows: str) -> tuple[tuple[Part, ...], list[str]]:
    """Return the parts of a list and the faults in it, each as `line: column: message`."""
    path = folder / "parts.csv"
    path.write_text("\n".join((headings, *rows)), encoding="utf-8")
    findings = Findings()
    parts = read_parts(path, "in", findings)
    assert findings.notices == []
    return parts, [f"{fault.origin.line}: {fault.column}: {fault.message}" for fault in findings.faults]


COLUMNS = "part,quantity,species,section,length,left_end,right_end,left_bevel,right_bevel,show_face,match"


def test_bevels_the_face_that_shows_and_the_word_that_matches_are_read(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, COLUMNS, "Leg,4,western larch,2x4,17,5,-5,10,-7.5,yes,base")
    assert faults == []
    shape = leg.shape
    assert (shape.left_degrees, shape.right_degrees) == (Fraction(5), Fraction(-5))
    assert (shape.left_bevel_degrees, shape.right_bevel_degrees) == (Fraction(10), Fraction(-15, 2))
    assert (leg.show_face, leg.match) == (True, "base")


def test_blanks_and_columns_that_are_not_there_mean_square_ends_no_face_and_no_match(tmp_path: Path) -> None:
    (blank,), _ = read(tmp_path, COLUMNS, "Leg,4,western larch,2x4,17,,,,,,")
    (absent,), faults = read(tmp_path, "part,quantity,species,section,length", "Leg,4,western larch,2x4,17")
    assert faults == []
    for part in (blank, absent):
        assert part.shape.left_bevel_degrees == part.shape.right_bevel_degrees == 0
        assert (part.show_face, part.match) == (False, "")


def test_a_bevel_may_have_a_sign_for_degrees_or_a_decimal_comma(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, COLUMNS.replace(",", ";"), "Leg;4;western larch;2x4;17;;;7,5°;-10 deg;;")
    assert faults == []
    assert (leg.shape.left_bevel_degrees, leg.shape.right_bevel_degrees) == (Fraction(15, 2), Fraction(-10))


@pytest.mark.parametrize(("text", "shows"), [("yes", True), ("Yes", True), ("no", False), ("NO", False), ("", False)])
def test_a_face_must_show_or_not(tmp_path: Path, text: str, *, shows: bool) -> None:
    (leg,), faults = read(tmp_path, COLUMNS, f"Leg,4,western larch,2x4,17,,,,,{text},")
    assert faults == []
    assert leg.show_face is shows


@pytest.mark.parametrize(
    ("cuts", "column"),
    [
        ("70,-70,,", "left_end"),
        (",75,,", "right_end"),
        (",,,-70", "right_bevel"),
        ("5,5,70,-70", "left_bevel"),
        ("60,-70,5,", "right_end"),
    ],
)
def test_end_cuts_that_meet_are_named_where_the_steepest_stands(tmp_path: Path, cuts: str, column: str) -> None:
    _, faults = read(tmp_path, COLUMNS, f"Wedge,1,western larch,2x4,2,{cuts},,")
    (fault,) = faults
    assert fault.startswith(f"2: {column}: the end cuts meet")


def test_a_clip_that_fits_the_lower_face_alone_is_a_fault(tmp_path: Path) -> None:
    # A 2x4 is 1 1/2 in thick: at 45 degrees the upper face is 1 1/2 in shorter than the lower one of 3 in.
    headings = "part,quantity,species,section,length,right_bevel,clipped_corners,clip_along,clip_across"
    _, faults = read(tmp_path, headings, "Wedge,1,western larch,2x4,3,-45,top left,2 1/2,1")
    assert faults == [
        "2: clipped_corners: the clipped corners take more than the whole edge; make the clips smaller",
    ]


def test_joints_may_not_hide_more_of_a_bevelled_end_than_there_is(tmp_path: Path) -> None:
    # Ends of a 2x4: 3 1/2 x 1 1/2 = 5.25 square and 5.25 x sqrt 2 = 7.42 at 45 degrees, 12.67 in2 together.
    headings = "part,quantity,species,section,length,right_bevel,hidden_area"
    _, fits = read(tmp_path, headings, "Rail,1,western larch,2x4,20,45,12.6 in2 on ends")
    _, faults = read(tmp_path, headings, "Rail,1,western larch,2x4,20,45,12.7 in2 on ends")
    assert fits == []
    (fault,) = faults
    assert fault.startswith('2: hidden_area: "12.7 in2 on ends" hides')
