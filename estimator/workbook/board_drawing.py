"""Boards drawn to scale as a strip of narrow cells: sharp at any zoom, and their labels can be read and copied.

A strip has whole columns only, so a cut is seldom seen at all. Each label carries the exact size, and nothing is to be
measured off the drawing.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from estimator.workbook.cells import Sheet
from estimator.workbook.letters import wrapped_lines
from estimator.workbook.styles import ASH, CLAY, SAGE, WOOD, Style

PieceKind = Literal["part", "offcut", "waste", "trim"]

STRIP_COLUMNS = 96
COLUMN_WIDTH = 1.3  # 96 of them fill the width of either paper in landscape
ROW_HEIGHT_PT = 42
_LETTERS_A_COLUMN = 1.5
_STANDARD_SIZE_PT = 10
_DIGIT_WIDTH = 0.556  # times the size of the letters, in Arial; from memory
_LINE_HEIGHT = 1.25  # as above; the room that a row leaves above and below is in it

_PART = Style(name="Board, part", size_pt=8, fill=WOOD, border="box", horizontal="center", wrap=True)
_LYING = {
    "part": _PART,
    "offcut": replace(_PART, name="Board, offcut", fill=SAGE),
    "waste": replace(_PART, name="Board, waste", fill=ASH),
    "trim": replace(_PART, name="Board, trim", fill=CLAY),
}
_STANDING = {
    kind: replace(style, name=f"{style.name}, standing", size_pt=7, rotated=True) for kind, style in _LYING.items()
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """A piece of a board: what to write on it, where it begins and ends along the board, and what becomes of it.

    Where it has no room for its label, its `mark` is written, which stands for the piece in the words of the sheet.
    """

    label: str
    start_in: Fraction
    end_in: Fraction
    kind: PieceKind
    mark: str = ""


def set_up_strip(sheet: Sheet, first_column: int, columns: int = STRIP_COLUMNS) -> None:
    """Make the columns of a strip narrow."""
    for column in range(first_column, first_column + columns):
        sheet.widen(column, COLUMN_WIDTH)


def draw_board(
    sheet: Sheet,
    row: int,
    pieces: Sequence[Piece],
    *,
    strip_length_in: Fraction,
    first_column: int,
    columns: int = STRIP_COLUMNS,
) -> tuple[Piece, ...]:
    """Draw the pieces of one board in a row and return those too short to be seen, for the sheet to name in words.

    The whole strip stands for strip_length_in; give the longest board of a sheet, and all its boards have one scale.
    """
    unseen = []
    column_in = strip_length_in / columns
    drawn_to, drawn_to_in = 0, Fraction(0)
    for piece in sorted(pieces, key=lambda piece: piece.start_in):
        if not drawn_to_in <= piece.start_in <= piece.end_in <= strip_length_in:
            raise ValueError(f"{piece} overlaps another or is not on a strip of {strip_length_in} in")
        # A cut narrower than a column would show as a column or as nothing, by chance of rounding: never show it.
        first = drawn_to if piece.start_in - drawn_to_in < column_in else _nearest(piece.start_in / column_in)
        end = _nearest(piece.end_in / column_in)
        if first == end:
            unseen.append(piece)
            continue
        _draw_piece(sheet, row, piece, first_column + first, end - first)
        drawn_to, drawn_to_in = end, piece.end_in
    sheet.set_height(row, ROW_HEIGHT_PT)
    return tuple(unseen)


def _nearest(columns: Fraction) -> int:
    """Return the nearest whole column edge, halves upwards, so that pieces that touch share an edge."""
    return int(columns + Fraction(1, 2))


def _draw_piece(sheet: Sheet, row: int, piece: Piece, first_column: int, columns: int) -> None:
    if _fits(piece.label, columns):
        label, style = piece.label, _LYING[piece.kind]
    elif piece.mark and not _fits_standing(piece.label, columns):
        label, style = piece.mark, _LYING[piece.kind]
    else:
        label, style = piece.label, _STANDING[piece.kind]
    sheet.merge(row, first_column, first_column + columns - 1, style)
    sheet.put_text(row, first_column, label, style)


def _fits(label: str, columns: int) -> bool:
    """Whether a label has room in so many columns, no word of it broken."""
    longest_word = max((len(word) for word in re.split("[ \n]", label)), default=0)
    lines = wrapped_lines(label, columns * COLUMN_WIDTH * _STANDARD_SIZE_PT / _PART.size_pt)
    return longest_word <= columns * _LETTERS_A_COLUMN and lines * _PART.size_pt * _LINE_HEIGHT <= ROW_HEIGHT_PT


def _fits_standing(label: str, columns: int) -> bool:
    """Whether a label that stands upright has room: its lines run up the row and lie side by side in its columns."""
    size_pt = _STANDING["part"].size_pt
    lines = wrapped_lines(label, ROW_HEIGHT_PT / (size_pt * _DIGIT_WIDTH))
    return lines * size_pt * _LINE_HEIGHT <= columns * COLUMN_WIDTH * _STANDARD_SIZE_PT * _DIGIT_WIDTH
