"""Tapers and rounded corners, as they are read from parts.csv."""

from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.part_shape import parse_sides, parse_taper_to
from estimator.reading.parts import Part, read_parts
from estimator.solid import CORNERS, SIDES, RoundedCorner, Taper

SHAPE = "tapered_sides,taper_end,taper_to,taper_length"
TAPERED = f"part,quantity,species,section,length,{SHAPE}"
ROUNDED = "part,quantity,species,section,length,rounded_corners,corner_radius"
LEG = "Leg,4,western larch,2x4,17"  # 3 1/2 x 1 1/2 in once dressed


def read(folder: Path, headings: str, *rows: str, unit: str = "in") -> tuple[tuple[Part, ...], list[str]]:
    """Return the parts of a list and the faults in it, each as `line: column: message`."""
    path = folder / "parts.csv"
    path.write_text("\n".join((headings, *rows)), encoding="utf-8")
    findings = Findings()
    parts = read_parts(path, unit, findings)
    assert findings.notices == []
    return parts, [f"{fault.origin.line}: {fault.column}: {fault.message}" for fault in findings.faults]


def test_one_edge_runs_in_to_a_width(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, TAPERED, f"{LEG},bottom edge,right,2 1/4,12")
    assert faults == []
    expected = Taper(end="right", side="bottom edge", depth_in=Fraction(5, 4), length_in=Fraction(12))
    assert leg.shape.tapers == (expected,)


def test_two_edges_take_half_each_and_no_length_is_the_whole(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, TAPERED, f"{LEG},both edges,Left,2 1/4,")
    assert faults == []
    assert [taper.side for taper in leg.shape.tapers] == ["bottom edge", "top edge"]
    assert {(taper.end, taper.depth_in, taper.length_in) for taper in leg.shape.tapers} == {
        ("left", Fraction(5, 8), Fraction(17))
    }


def test_one_measure_is_the_width_and_the_thickness_that_are_left(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, TAPERED, f"{LEG},top edge + upper face,right,1,12")
    assert faults == []
    assert {taper.side: taper.depth_in for taper in leg.shape.tapers} == {
        "top edge": Fraction(5, 2),
        "upper face": Fraction(1, 2),
    }


def test_width_and_thickness_may_be_left_unequal(tmp_path: Path) -> None:
    (leg,), faults = read(tmp_path, TAPERED, f"{LEG},all,right,2 x 3/4,12")
    assert faults == []
    assert {taper.side: taper.depth_in for taper in leg.shape.tapers} == {
        "bottom edge": Fraction(3, 4),
        "top edge": Fraction(3, 4),
        "lower face": Fraction(3, 8),
        "upper face": Fraction(3, 8),
    }


@pytest.mark.parametrize(
    ("text", "unit", "left_in"),
    [
        ("7/8", "in", ["7/8"]),
        ("1 1/4 x 7/8", "in", ["5/4", "7/8"]),
        ('1 1/4 × 7/8"', "in", ["5/4", "7/8"]),
        ("1 1/4 x 7/8 in", "mm", ["5/4", "7/8"]),
        ("50.8 x 25.4", "mm", ["2", "1"]),
        ("50.8 x 25.4 mm", "in", ["2", "1"]),
        ("2 in x 25.4 mm", "in", ["2", "1"]),
    ],
)
def test_what_is_left_is_one_measure_or_two(text: str, unit: str, left_in: list[str]) -> None:
    assert parse_taper_to(text, unit=unit, decimal_comma=False) == tuple(map(Fraction, left_in))


@pytest.mark.parametrize("text", ["1 x 2 x 3", "x 2", "2 x", "2 by 3", "thin"])
def test_what_is_no_measure_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"is (no measure|not a length); write"):
        parse_taper_to(text, unit="in", decimal_comma=False)


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("all", SIDES),
        ("Both Edges", ("bottom edge", "top edge")),
        ("edges and faces", SIDES),
        ("upper face + top edge", ("top edge", "upper face")),
        ("both faces, bottom edge", ("bottom edge", "lower face", "upper face")),
    ],
)
def test_sides_are_named_one_by_one_or_together(text: str, sides: tuple[str, ...]) -> None:
    assert parse_sides(text) == sides


@pytest.mark.parametrize("text", ["top", "+", "left end", "top edge and inner face"])
def test_sides_that_are_not_there_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="names no sides; write all, both edges, both faces, or some of"):
        parse_sides(text)


@pytest.mark.parametrize("text", ["top edge + both edges", "all + upper face", "top edge, top edge"])
def test_a_side_named_twice_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="names a side twice; name each side once"):
        parse_sides(text)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (",right,,", 'taper_end: stands without sides; name them under "tapered_sides", like top edge + upper face'),
        (
            "top edge,,,",
            "taper_end: is missing; fill it in | taper_to: is missing; fill it in",
        ),
        (
            "top edge,foot,3,",
            'taper_end: "foot" is not known here; write one of: left, right',
        ),
        (
            "top edge,right,3 1/2,",
            'taper_to: "3 1/2" is not less than the width of 3 1/2 in; write what is left of it at the right end',
        ),
        (
            "both faces,left,2,18",
            'taper_to: "2" is not less than the thickness of 1 1/2 in; | taper_length: "18" is longer than the part, ',
        ),
        ("both faces,left,2 x 1,", 'taper_to: "2 x 1" is a width and a thickness, and "both faces" takes from one'),
    ],
)
def test_faults_of_a_taper_are_named_where_they_stand(tmp_path: Path, row: str, expected: str) -> None:
    _, faults = read(tmp_path, TAPERED, f"{LEG},{row}")
    starts = expected.split(" | ")
    assert len(faults) == len(starts)
    assert all(map(str.startswith, faults, (f"2: {start}" for start in starts)))


def test_a_taper_that_passes_the_part_by_is_a_fault(tmp_path: Path) -> None:
    # The right end runs from 17 - 3 1/2 tan 60 = 10.9 in on the bottom edge to 17 on the top edge.
    _, faults = read(tmp_path, f"{TAPERED},right_end", f"{LEG},bottom edge,right,3,2,60")
    (fault,) = faults
    assert fault.startswith("2: tapered_sides: the taper of the bottom edge takes nothing off, ")


def test_rounded_corners_are_read(tmp_path: Path) -> None:
    (one, two), faults = read(
        tmp_path, ROUNDED, f"{LEG},all,3/4", "Foot,4,western larch,2x4,17,top right + top left,12 mm"
    )
    assert faults == []
    assert one.shape.rounded_corners == tuple(
        RoundedCorner(corner=corner, radius_in=Fraction(3, 4)) for corner in CORNERS
    )
    assert [(round_.corner, round_.radius_in) for round_ in two.shape.rounded_corners] == [
        ("top right", Fraction(120, 254)),
        ("top left", Fraction(120, 254)),
    ]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (",1", 'corner_radius: stands without corners; name them under "rounded_corners", like top left + top right'),
        ("all,", "corner_radius: is missing; fill it in"),
        ("front,1", 'rounded_corners: "front" names no corners; write all, or some of bottom left, '),
        ("all,2", "rounded_corners: the rounded corners take more than the whole end; make the radius smaller"),
    ],
)
def test_faults_of_rounded_corners_are_named_where_they_stand(tmp_path: Path, row: str, expected: str) -> None:
    _, faults = read(tmp_path, ROUNDED, f"{LEG},{row}")
    (fault,) = faults
    assert fault.startswith(f"2: {expected}")


def test_a_corner_is_clipped_or_rounded_and_not_both(tmp_path: Path) -> None:
    headings = f"{ROUNDED},clipped_corners,clip_along,clip_across"
    _, faults = read(tmp_path, headings, f"{LEG},top right,1,all,1,1")
    assert faults == ["2: rounded_corners: a corner is both clipped and rounded; name it under one of them"]


def test_joints_may_not_hide_more_of_a_tapered_edge_than_there_is(tmp_path: Path) -> None:
    # 17 in of a 2x4, both faces running in from 1 1/2 to 1/2 in: edges of 17 in2 each, 34 together.
    headings = f"{TAPERED},hidden_area"
    _, fits = read(tmp_path, headings, f"{LEG},both faces,right,1/2,,34 in2 on edges")
    _, faults = read(tmp_path, headings, f"{LEG},both faces,right,1/2,,34.1 in2 on edges")
    assert fits == []
    (fault,) = faults
    assert fault.startswith('2: hidden_area: "34.1 in2 on edges" hides')
