"""Cutting list: every layout of boards drawn to scale, with its pieces, marks and left-over, to take to the saw."""

from collections import Counter
from fractions import Fraction

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying, is_usable
from estimator.buying.saw_cuts import ends_come_later
from estimator.buying.ways_to_lie import Lean, leans_of
from estimator.cutting_words import (
    MARKS_TEXT,
    NESTED_TEXT,
    Letters,
    board_text,
    has_nests,
    left_over_text,
    letter_of,
    letters_of,
    ripping_text,
    settings_text,
    strip_words,
)
from estimator.piece_words import cut_text
from estimator.reading.cutting_settings import SawSettings
from estimator.solid import ends_square
from estimator.takeoff.lumber import PieceNeed
from estimator.units import length_text
from estimator.wording import allowance_text, plan_text
from estimator.workbook.board_drawing import STRIP_COLUMNS, Piece, PieceKind, draw_board, set_up_strip
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.page import start_new_page
from estimator.workbook.styles import NOTE, SECTION, STONE, Style

LAYOUT = Style(name="Layout heading", bold=True)
MARKS = Style(name="Marks", wrap=True, indent=2)
RUNS = Style(name="Marks of a strip", wrap=True, indent=4)
SETTINGS = Style(name="Settings", wrap=True, indent=2, colour=STONE)
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
        letters = letters_of(purchase.layouts)
        for place, layout in enumerate(purchase.layouts):
            top = row
            if place == 0:
                row = _write_title(sheet, setting, purchase, row)
            row = _write_layout(sheet, setting, purchase.title, layout, letters, longest_in, row)
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
    sheet: Sheet, setting: Setting, wood: str, layout: CutLayout, letters: Letters, longest_in: Fraction, row: int
) -> int:
    """Write one layout: how many boards, the drawing, and a line for each run of equal pieces with its marks."""
    unit, saw = setting.estimate.order.shop.unit, setting.estimate.order.shop.saw
    keep = is_usable(layout, saw)
    title = f"{wood}, {board_text(layout, unit)}: {left_over_text(layout, unit, keep=keep)}"
    sheet.put_text(row, 1, title, LAYOUT)
    for strip in layout.strips:
        row += 1
        draw_board(sheet, row, _pieces(layout, strip, letters, saw, unit), strip_length_in=longest_in, first_column=1)
    for text, style in _texts(layout, letters, saw, unit):
        row += 1
        sheet.put_text_across(row, 1, STRIP_COLUMNS, text, style)
    return row + 2


def _texts(layout: CutLayout, letters: Letters, saw: SawSettings, unit: str) -> list[tuple[str, Style]]:
    """Return what is written below a drawing: what comes before, each run of pieces with its marks, the settings."""
    first = ripping_text(layout, unit, keep=is_usable(layout, saw))
    texts = [(first, MARKS)] if first else []
    for words in strip_words(layout, letters, unit, saw.kerf_in):
        texts += [(f"{words.title}:", MARKS)] if words.title else []
        style = RUNS if words.title else MARKS
        texts += [(f"{run.letter}:  {run.count} x {run.what}: marks at {run.marks}", style) for run in words.runs]
    return [*texts, (settings_text(layout, unit, saw.kerf_in), SETTINGS)]


def _pieces(layout: CutLayout, strip: CutStrip, letters: Letters, saw: SawSettings, unit: str) -> list[Piece]:
    """Return what the drawing shows, measured from the board's own end: pieces, and the rest between them and the end.

    Cuts and trims are narrower than the drawing can show and are left out; nested pieces are drawn one after the other.
    """
    pieces: list[Piece] = []
    drawn_to_in = saw.end_trim_in
    for blank in strip.blanks:
        start_in, end_in = max(drawn_to_in, saw.end_trim_in + blank.start_in), saw.end_trim_in + blank.end_in
        letter = letter_of(blank, letters)
        label = f"{letter} {_label(blank, strip, unit)}"
        pieces.append(Piece(label=label, start_in=start_in, end_in=end_in, kind="part", mark=letter))
        drawn_to_in = end_in
    return [*pieces, *_rest(layout, drawn_to_in, saw, unit)]


def _rest(layout: CutLayout, drawn_to_in: Fraction, saw: SawSettings, unit: str) -> list[Piece]:
    """Return what is left of a board, and what falls away of a strip that is shorter than its neighbours."""
    keep = is_usable(layout, saw)
    end_in = layout.board_length_in - saw.end_trim_in
    left_in = layout.left_over_in if keep or not layout.rip_first else Fraction(0)
    strips_end_in = saw.end_trim_in + max(one.end_in for one in layout.strips) if left_in else end_in
    fallen_in = strips_end_in - drawn_to_in - saw.kerf_in
    fallen = [_left(fallen_in, strips_end_in, unit, keep=False)] if layout.rip_first and fallen_in > 0 else []
    return [*fallen, _left(left_in, end_in, unit, keep=keep)] if left_in else fallen


def _left(length_in: Fraction, end_in: Fraction, unit: str, *, keep: bool) -> Piece:
    length = _unbroken(length_in, unit)
    kind: PieceKind = "offcut" if keep else "waste"
    return Piece(label=f"keep\n{length}" if keep else length, start_in=end_in - length_in, end_in=end_in, kind=kind)


def _label(blank: Blank, strip: CutStrip, unit: str) -> str:
    """Return what stands on a blank: its piece with its size, or the pieces that are ripped from it."""
    if len(blank.pieces) == 1:
        return f"{blank.pieces[0].piece.part.name}\n{_size(blank.pieces[0], strip, unit)}"
    counts = Counter(lying.piece.part.name for lying in blank.pieces)
    names = " + ".join(f"{count} x {name}" if count > 1 else name for name, count in counts.items())
    return f"{names}\n{_unbroken(blank.end_in - blank.start_in, unit)}"


def _size(lying: Lying, strip: CutStrip, unit: str) -> str:
    """Return the finished length, with how ends that are not square lean: as they lie, or as drawn where cut later."""
    length = _unbroken(lying.piece.part.shape.length_in, unit)
    if ends_square(lying.piece.part.shape):
        return length
    later = ends_come_later(lying, strip)
    near, far = leans_of(lying.piece.part.shape) if later else (lying.way.near, lying.way.far)
    return f"{length}\n{_degrees(near)} / {_degrees(far)}"


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
