"""How one layout of boards is cut, as lines for a terminal: the drawing, a row for each run of pieces, the settings."""

from fractions import Fraction
from itertools import zip_longest

from estimator.buying.layouts import CutLayout, is_usable
from estimator.cli.board_bar import board_bars
from estimator.cli.terminal import WIDTH, wrapped
from estimator.cutting_words import (
    CutRun,
    Letters,
    board_text,
    left_over_text,
    ripping_text,
    settings_text,
    strip_words,
)
from estimator.reading.order import Order

INDENT = "  "
COUNT_WIDTH = 7
WHAT_WIDTH = 44


def layout_lines(layout: CutLayout, longest_in: Fraction, order: Order, letters: Letters) -> list[str]:
    """Return what is to be done to the boards of a layout, drawn to the scale of the longest board."""
    unit, saw = order.shop.unit, order.shop.saw
    keep = is_usable(layout, saw)
    lines = wrapped(f"{board_text(layout, unit)}, {left_over_text(layout, unit, keep=keep)}:", WIDTH)
    lines += [INDENT + bar for bar in board_bars(layout, longest_in, saw, letters)]
    lines += [INDENT + line for line in wrapped(ripping_text(layout, unit, keep=keep), WIDTH - len(INDENT))]
    lines.append(_line("", "cut", "marks from the squared end"))
    for words in strip_words(layout, letters, unit, saw.kerf_in):
        lines += [INDENT + line for line in wrapped(f"{words.title}:", WIDTH - len(INDENT))] if words.title else []
        lines += [line for run in words.runs for line in _run_lines(run)]
    settings = wrapped(settings_text(layout, unit, saw.kerf_in), WIDTH - len(INDENT))
    return lines + [INDENT + line for line in settings]


def _run_lines(run: CutRun) -> list[str]:
    """Return the lines of one run: its letter in the drawing, how many, what they are, and their marks at the right."""
    words = wrapped(run.what, WHAT_WIDTH)
    marks_width = WIDTH - COUNT_WIDTH - max(map(len, words)) - len(INDENT)
    columns = zip_longest([f"{run.letter} {run.count:3}"], words, wrapped(run.marks, marks_width), fillvalue="")
    return [_line(*texts) for texts in columns]


def _line(count: str, what: str, marks: str) -> str:
    left = f"{count:{COUNT_WIDTH}}{what}"
    return f"{left}{marks:>{WIDTH - len(left)}}".rstrip()
