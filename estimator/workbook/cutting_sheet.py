"""Cutting list: every layout of boards drawn to scale, with its pieces, marks and left-over, to take to the saw."""

from collections import Counter
from fractions import Fraction

from estimator.buying.boards import BoardPurchase
from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying, is_usable
from estimator.buying.ways_to_lie import Lean
from estimator.cutting_words import (
    MARKS_TEXT,
    NESTED_TEXT,
    board_text,
    cut_text,
    has_nests,
    left_over_text,
    strip_words,
)
from estimator.solid import ends_square
from estimator.takeoff.lumber import PieceNeed
from estimator.units import length_text
from estimator.wording import allowance_text, plan_text
from estimator.workbook.board_drawing import STRIP_COLUMNS, Piece, draw_board, set_up_strip
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.page import start_new_page
from estimator.workbook.styles import NOTE, SECTION, Style

LAYOUT = Style(name="Layout heading", bold=True)
MARKS = Style(name="Marks", wrap=True, indent=2)
BLANK_TEXT = Style(name="Blank line")
PAGE_PT = 470  # rows that a page of either paper holds in landscape, below the repeated heading


def write_cutting(sheet: Sheet, setting: Setting) -> None:
    """Write the layouts section by section, longest boards first."""
    saw, unit = setting.estimate.order.shop.saw, setting.shown.length
    begin_sheet(
        sheet,
        setting,
        title="Cutting list",
        subtitle=(
            f"Square one end first ({length_text(saw.end_trim_in, unit)} off), then mark from there. "
            f"Between two pieces lies a cut of {length_text(saw.kerf_in, unit)}."
        ),
        landscape=True,
        heading_row=2,
    )
    set_up_strip(sheet, 1)
    bought = setting.estimate.buy_sheet
    longest_in = max((layout.board_length_in for one in bought.boards for layout in one.layouts), default=Fraction(1))
    nested = any(has_nests(one.layouts) for one in bought.boards)
    sheet.put_text_across(3, 1, STRIP_COLUMNS, f"{MARKS_TEXT} {NESTED_TEXT}" if nested else MARKS_TEXT, NOTE)
    row, page_top = FIRST_ROW + 1, 1
    for purchase in bought.boards:
        for place, layout in enumerate(purchase.layouts):
            top = row
            if place == 0:
                row = _write_title(sheet, setting, purchase, row)
            row = _write_layout(sheet, setting, purchase, layout, longest_in, row)
            if sheet.height_pt(page_top, row - 2) > PAGE_PT:
                start_new_page(sheet, top)
                page_top = top
        row += 1
    for volume in bought.volumes:
        sheet.put_text(row, 1, volume.title, SECTION)
        sheet.put_text_across(row + 1, 1, STRIP_COLUMNS, f"Bought by volume: {allowance_text(volume)}. Pieces:", MARKS)
        row = _write_pieces(sheet, setting, volume.need.pieces, row + 2) + 1
    if not bought.boards and not bought.volumes:
        sheet.put_text(row, 1, "No lumber is listed for this order.", BLANK_TEXT)


def _write_title(sheet: Sheet, setting: Setting, purchase: BoardPurchase, row: int) -> int:
    order = setting.estimate.order
    sheet.put_text(row, 1, purchase.title, SECTION)
    sheet.put_text_across(row + 1, 1, STRIP_COLUMNS, plan_text(order, purchase), NOTE)
    return row + 2


def _write_layout(
    sheet: Sheet, setting: Setting, purchase: BoardPurchase, layout: CutLayout, longest_in: Fraction, row: int
) -> int:
    """Write one layout: how many boards, the drawing, and a line for each run of equal pieces with its marks."""
    order = setting.estimate.order
    unit, keep = order.shop.unit, is_usable(layout, order.shop.saw)
    title = f"{purchase.title}, {board_text(layout, unit)}: {left_over_text(layout, unit, keep=keep)}"
    sheet.put_text(row, 1, title, LAYOUT)
    row += 1
    for strip in layout.strips:
        pieces = _pieces(layout, strip, order.shop.saw.end_trim_in, unit, keep=keep)
        draw_board(sheet, row, pieces, strip_length_in=longest_in, first_column=1)
        row += 1
    for words in strip_words(layout, unit):
        if words.title:
            sheet.put_text_across(row, 1, STRIP_COLUMNS, f"Rip first: {words.title}, each cut into", MARKS)
            row += 1
        for run in words.runs:
            text = f"{run.count} x {run.what}: marks at {run.marks}"
            sheet.put_text_across(row, 1, STRIP_COLUMNS, text, MARKS)
            row += 1
    return row + 1


def _pieces(layout: CutLayout, strip: CutStrip, trim_in: Fraction, unit: str, *, keep: bool) -> list[Piece]:
    """Return what the drawing shows, measured from the board's own end: pieces, and the rest between them and the end.

    Cuts and trims are narrower than the drawing can show and are left out; nested pieces are drawn one after the other.
    """
    pieces: list[Piece] = []
    drawn_to_in = trim_in
    for blank in strip.blanks:
        start_in, end_in = max(drawn_to_in, trim_in + blank.start_in), trim_in + blank.end_in
        pieces.append(Piece(label=_label(blank, unit), start_in=start_in, end_in=end_in, kind="part"))
        drawn_to_in = end_in
    end_in = layout.board_length_in - trim_in
    if layout.left_over_in:
        left = _unbroken(layout.left_over_in, unit)
        pieces.append(
            Piece(
                label=f"keep\n{left}" if keep else left,
                start_in=end_in - layout.left_over_in,
                end_in=end_in,
                kind="offcut" if keep else "waste",
            )
        )
    return pieces


def _label(blank: Blank, unit: str) -> str:
    """Return what stands on a blank: its piece with its size, or the pieces that are ripped from it."""
    if len(blank.pieces) == 1:
        return f"{blank.pieces[0].piece.part.name}\n{_size(blank.pieces[0], unit)}"
    counts = Counter(lying.piece.part.name for lying in blank.pieces)
    names = " + ".join(f"{count} x {name}" if count > 1 else name for name, count in counts.items())
    return f"{names}\n{_unbroken(blank.end_in - blank.start_in, unit)}"


def _size(lying: Lying, unit: str) -> str:
    """Return the finished length, with how ends that are not square lean as the piece lies."""
    length = _unbroken(lying.piece.part.shape.length_in, unit)
    if ends_square(lying.piece.part.shape):
        return length
    return f"{length}\n{_degrees(lying.way.near)} / {_degrees(lying.way.far)}"


def _degrees(lean: Lean) -> str:
    """Return degrees with a minus that no line ends behind; of a bevel with a b, of both joined."""
    mitre = f"{float(lean.mitre):g}\N{DEGREE SIGN}" if lean.mitre or not lean.bevel else ""
    bevel = f"b{float(lean.bevel):g}\N{DEGREE SIGN}" if lean.bevel else ""
    return f"{mitre}{bevel}".replace("-", "\N{MINUS SIGN}")


def _unbroken(length_in: Fraction, unit: str) -> str:
    """Return a length that no line ends within: `17` on one line and `7/8 in` on the next would be misread."""
    return length_text(length_in, unit).replace(" ", "\N{NO-BREAK SPACE}")


def _write_pieces(sheet: Sheet, setting: Setting, pieces: tuple[PieceNeed, ...], row: int) -> int:
    """Write the pieces to cut from lumber that is bought by volume."""
    unit = setting.shown.length
    for piece in pieces:
        shape = piece.part.shape
        size = " x ".join(length_text(side, unit) for side in (shape.thickness_in, shape.width_in))
        text = f"{piece.quantity} x {piece.name}: {size}, {cut_text(piece, unit)}"
        sheet.put_text_across(row, 1, STRIP_COLUMNS, text, MARKS)
        row += 1
    return row
