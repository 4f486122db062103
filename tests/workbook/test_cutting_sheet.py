"""The cutting list of the workbook: drawings, words and pages, on purchases made by hand."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from estimator.buying.layouts import CutLayout, Lying
from estimator.estimate import Estimate
from estimator.workbook.cells import Book, Sheet
from estimator.workbook.cutting_sheet import PAGE_PT, write_cutting
from estimator.workbook.leaf import setting_for

MakeLying = Callable[..., Lying]
MakeLayout = Callable[..., CutLayout]
Written = Callable[..., Sheet]


@pytest.fixture
def written(estimated: Callable[[str], Estimate]) -> Written:
    """Write the cutting list of one section that is cut by these layouts."""

    def write(*layouts: CutLayout) -> Sheet:
        estimate = estimated("riverside_tearoom")
        purchase = replace(estimate.buy_sheet.boards[0], layouts=layouts)
        only = replace(estimate, buy_sheet=replace(estimate.buy_sheet, boards=(purchase,), volumes=()))
        sheet = Book().add_sheet("Cutting list")
        write_cutting(sheet, setting_for(only))
        return sheet

    return write


def texts(sheet: Sheet, row: int | None = None) -> list[str]:
    rows = sheet.worksheet.iter_rows() if row is None else [sheet.worksheet[row]]
    found = [str(cell.value) for cells in rows for cell in cells if cell.value is not None]
    return [text.replace("\N{NO-BREAK SPACE}", " ") for text in found]


def row_of(sheet: Sheet, beginning: str) -> int:
    return next(row for row in range(1, 200) if any(text.startswith(beginning) for text in texts(sheet, row)))


def test_a_layout_is_drawn_and_told(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    leg, rail = lying("Leg", 20, left=(15, 0), right=(0, 10), takes=21), lying("Rail", 40)
    sheet = written(layout([(0, 40, [rail]), (40.125, 61.125, [leg])], left_over=33.75))
    row = row_of(sheet, "western larch Select 2x4, 1 board of 8 ft: 33 3/4 in left, keep it")
    assert texts(sheet, row + 1) == [
        "A Rail\n40 in",
        "B Leg\n20 in\n15\N{DEGREE SIGN} / b10\N{DEGREE SIGN}",
        "keep\n33 3/4 in",
    ]
    assert texts(sheet, row + 2) == ["A:  1 x Stool: Rail, 40 in: marks at 40"]
    assert texts(sheet, row + 4) == [
        "Stop block: 1 at 40 in, 1 at 20 in. Saw cuts: 1 square, 1 at 15 deg /, 1 at bevel 10 deg /."
    ]


def test_strips_lie_below_each_other_and_what_falls_away_is_drawn(
    lying: MakeLying, layout: MakeLayout, written: Written
) -> None:
    slats = [lying(f"Slat {length}", length, width=0.75) for length in (90, 60, 40, 20)]
    strips = [[(0, slat.piece.blank_length_in, [slat])] for slat in slats]
    sheet = written(layout(*strips, widths=[0.75] * 4, left_over=4.875))
    row = row_of(sheet, "western larch Select 2x4, 1 board")
    assert [texts(sheet, row + 1 + n)[0] for n in range(4)] == [
        "A Slat 90\n90 in",
        "B Slat 60\n60 in",
        "C Slat 40\n40 in",
        "D Slat 20\n20 in",
    ]
    assert texts(sheet, row + 4)[1] == "74 7/8 in"  # 95 less 20 and a kerf
    assert texts(sheet, row + 5) == ["Rip it into strips of 3/4, 3/4, 3/4 and 3/4 in first."]


def test_a_left_over_to_keep_lies_at_one_place_in_all_strips(
    lying: MakeLying, layout: MakeLayout, written: Written
) -> None:
    strips = [[(0, length, [lying(f"Slat {length}", length, width=1.5)])] for length in (60, 40)]
    sheet = written(layout(*strips, widths=[1.5, 1.5], left_over=34.875))
    row = row_of(sheet, "western larch Select 2x4, 1 board")
    keep = [[cell.column for cell in sheet.worksheet[row + n] if str(cell.value).startswith("keep")] for n in (1, 2)]
    assert keep[0] == keep[1] != []
    assert texts(sheet, row + 2) == ["B Slat 40\n40 in", "19 7/8 in", "keep\n34 7/8 in"]


def test_pieces_side_by_side_are_named_together(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    rail, strip = lying("Rail", 40, width=1), lying("Strip", 38, width=1)
    sheet = written(layout([(0, 40, [rail, rail, strip])]))
    assert "A 2 x Rail + Strip\n40 in" in texts(sheet)


def test_nested_pieces_are_drawn_one_after_the_other(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    side = lying("Side", 30, left=(45, 0), right=(-45, 0))
    turned = lying("Side", 30, left=(45, 0), right=(-45, 0), turn="end for end")
    sheet = written(layout([(0, 30, [side]), (26.625, 56.625, [turned])]))
    row = row_of(sheet, "A Side")
    first, second = texts(sheet, row)
    assert first.endswith("45\N{DEGREE SIGN} / \N{MINUS SIGN}45\N{DEGREE SIGN}")
    assert second.endswith("\N{MINUS SIGN}45\N{DEGREE SIGN} / 45\N{DEGREE SIGN}")


def test_pieces_too_short_for_their_label_bear_their_letter(
    lying: MakeLying, layout: MakeLayout, written: Written
) -> None:
    peg = lying("Corner peg", 2)
    sheet = written(layout([(2.125 * n, 2.125 * n + 2, [peg]) for n in range(30)]))
    assert texts(sheet, row_of(sheet, "western larch Select 2x4, 1 board") + 1) == ["A"] * 30


def test_no_page_ends_within_a_layout(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    slats = [[(0, 40, [lying(f"Slat {n}", 40, width=0.75)])] for n in range(4)]
    sheet = written(*(layout(*slats, widths=[0.75] * 4, boards=n + 1) for n in range(7)))
    breaks = [page_break.id for page_break in sheet.worksheet.row_breaks.brk]
    assert breaks
    for top, bottom in zip([1, *(row + 1 for row in breaks)], breaks, strict=False):
        assert sheet.height_pt(top, bottom) <= PAGE_PT + 40  # the empty row below a layout may hang over
        assert sheet.worksheet.cell(bottom + 1, 1).font.b


def test_boards_of_all_sections_have_one_scale(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    rail = [(0, 47, [lying("Rail", 47)])]
    sheet = written(layout(rail, length=96, boards=2), layout(rail, length=48))
    areas = [str(area) for area in sheet.worksheet.merged_cells.ranges]
    rows = [row for row in range(1, 40) if texts(sheet, row) == ["A Rail\n47 in"]]
    widths = {area for area in areas for row in rows if area.endswith(str(row)) and area.startswith("A")}
    assert {area.partition(":")[2].rstrip("0123456789") for area in widths} == {"AV"}


def test_a_fraction_of_an_inch_stands_on_one_line(lying: MakeLying, layout: MakeLayout, written: Written) -> None:
    sheet = written(layout([(0, Fraction(81, 4), [lying("Rail", Fraction(81, 4))])]))
    cells = [str(cell.value) for row in sheet.worksheet.iter_rows() for cell in row if cell.value is not None]
    assert any("20\N{NO-BREAK SPACE}1/4" in text and "marks at" in text for text in cells)
