from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.workbook.board_drawing import ROW_HEIGHT_PT, Piece, PieceKind, draw_board, set_up_strip
from estimator.workbook.cells import Book, Sheet


def part(label: str, start_in: Fraction | int, end_in: Fraction | int) -> Piece:
    return Piece(label=label, start_in=Fraction(start_in), end_in=Fraction(end_in), kind="part")


def drawn(sheet: Sheet, row: int = 1) -> list[tuple[str, str]]:
    """Return the cells of each piece and its label, from left to right."""
    merged = {str(block).partition(":")[0]: str(block) for block in sheet.worksheet.merged_cells.ranges}
    cells = [cell for cell in sheet.worksheet[row] if cell.value is not None]
    return [(merged.get(cell.coordinate, cell.coordinate), str(cell.value)) for cell in cells]


def test_pieces_are_drawn_to_scale() -> None:
    # 96 in on 96 columns from B on: one column an inch.
    sheet = Book().add_sheet("Plan")
    pieces = [part("Leg 30″", 1, 31), Piece(label="", start_in=Fraction(0), end_in=Fraction(1), kind="trim")]
    unseen = draw_board(sheet, 1, pieces, strip_length_in=Fraction(96), first_column=2)
    assert drawn(sheet) == [("B1", ""), ("C1:AF1", "Leg 30″")]
    assert unseen == ()


def test_a_cut_leaves_no_gap() -> None:
    # 12 columns of 10 in: the cut from 24 1/2 to 24 5/8 would round to a gap between columns 2 and 3 at 25.
    sheet = Book().add_sheet("Plan")
    pieces = [part("A", 0, Fraction(199, 8)), part("B", Fraction(201, 8), 60)]
    draw_board(sheet, 1, pieces, strip_length_in=Fraction(120), first_column=1, columns=12)
    assert drawn(sheet) == [("A1:B1", "A"), ("C1:F1", "B")]


def test_a_piece_too_short_to_be_seen_is_named() -> None:
    sheet = Book().add_sheet("Plan")
    trim = Piece(label="trim", start_in=Fraction(0), end_in=Fraction(1, 2), kind="trim")
    unseen = draw_board(sheet, 1, [trim, part("A", 1, 96)], strip_length_in=Fraction(192), first_column=1)
    assert unseen == (trim,)
    assert drawn(sheet) == [("A1:AV1", "A")]


def test_a_label_too_wide_for_its_piece_stands_upright() -> None:
    sheet = Book().add_sheet("Plan")
    pieces = [part("Armrest", 0, 2), part("Armrest", 2, 40)]
    draw_board(sheet, 1, pieces, strip_length_in=Fraction(96), first_column=1)
    assert sheet.worksheet["A1"].alignment.text_rotation == 90
    assert sheet.worksheet["C1"].alignment.text_rotation == 0


def test_a_piece_without_room_for_its_label_bears_its_mark() -> None:
    # 2 columns of 96 hold a word upright, not four lines; 40 hold them lying.
    sheet = Book().add_sheet("Plan")
    label = "Corner block\n5 in\n45 / -45"
    pieces = [replace(part(label, start, end), mark="C") for start, end in ((0, 2), (2, 42))]
    draw_board(sheet, 1, [*pieces, part(label, 42, 44)], strip_length_in=Fraction(96), first_column=1)
    assert [text for _, text in drawn(sheet)] == ["C", label, label]
    assert sheet.worksheet["A1"].alignment.text_rotation == 0
    assert sheet.worksheet["AQ1"].alignment.text_rotation == 90  # it has no mark


def test_a_label_of_more_lines_than_the_row_holds_does_not_lie() -> None:
    sheet = Book().add_sheet("Plan")
    pieces = [replace(part("one\ntwo\nsix\nten\nend", 0, 5), mark="A"), replace(part("one\ntwo", 5, 10), mark="B")]
    draw_board(sheet, 1, pieces, strip_length_in=Fraction(96), first_column=1)
    assert [text for _, text in drawn(sheet)] == ["A", "one\ntwo"]


def test_kinds_differ_in_colour() -> None:
    sheet = Book().add_sheet("Plan")
    kinds: tuple[PieceKind, ...] = ("part", "offcut", "waste", "trim")
    pieces = [
        Piece(label="x", start_in=Fraction(10 * index), end_in=Fraction(10 * index + 10), kind=kind)
        for index, kind in enumerate(kinds)
    ]
    draw_board(sheet, 1, pieces, strip_length_in=Fraction(40), first_column=1, columns=4)
    assert len({cell.fill.start_color.rgb for cell in sheet.worksheet[1]}) == 4


def test_every_cell_of_a_piece_has_its_border() -> None:
    # Excel draws the border of a joined cell from the borders of the cells it was joined from.
    sheet = Book().add_sheet("Plan")
    draw_board(sheet, 1, [part("A", 0, 96)], strip_length_in=Fraction(96), first_column=1)
    assert all(cell.border.top.style == cell.border.bottom.style == "thin" for cell in sheet.worksheet[1])


def test_a_strip_has_narrow_columns_and_a_high_row() -> None:
    sheet = Book().add_sheet("Plan")
    set_up_strip(sheet, 2)
    draw_board(sheet, 1, [part("Leg 30″", 0, 2)], strip_length_in=Fraction(96), first_column=2)
    assert sheet.worksheet.column_dimensions["B"].width == sheet.worksheet.column_dimensions["CS"].width < 2
    assert sheet.worksheet.row_dimensions[1].height == ROW_HEIGHT_PT


@pytest.mark.parametrize("pieces", [[part("A", 0, 97)], [part("A", 0, 50), part("B", 49, 60)], [part("A", 5, 4)]])
def test_pieces_that_overlap_or_stick_out_are_refused(pieces: list[Piece]) -> None:
    with pytest.raises(ValueError, match="overlaps another or is not on a strip"):
        draw_board(Book().add_sheet("Plan"), 1, pieces, strip_length_in=Fraction(96), first_column=1)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.fractions(0, 40, max_denominator=64), st.fractions(0, 2, max_denominator=64)), max_size=12)
)
def test_every_piece_is_drawn_or_named_and_none_is_a_column_off(sizes: list[tuple[Fraction, Fraction]]) -> None:
    pieces, end_in = [], Fraction(0)
    for index, (length_in, gap_in) in enumerate(sizes):
        pieces.append(part(str(index), end_in + gap_in, end_in + gap_in + length_in))
        end_in += gap_in + length_in
    sheet = Book().add_sheet("Plan")
    strip_in = max(end_in, Fraction(1))
    unseen = draw_board(sheet, 1, pieces, strip_length_in=strip_in, first_column=1)
    starts = {str(cell.value): cell.column for cell in sheet.worksheet[1] if cell.value is not None} if pieces else {}
    assert set(starts) | {piece.label for piece in unseen} == {piece.label for piece in pieces}
    for piece in pieces:
        if piece.label in starts:
            assert abs(starts[piece.label] - 1 - piece.start_in * 96 / strip_in) <= Fraction(3, 2)
