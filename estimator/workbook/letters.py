"""How much room text and numbers take in a cell, counted in digits of the standard font, as columns are."""

import re
from math import ceil

# Advance widths of Arial in thousandths of its size, to the nearest of a few classes; from memory of the widths that
# the base fonts of PostScript have. All digits are 556 wide.
_CLASSES = {
    222: "ijl'|",
    278: " !,./:;I[]\\ft",
    340: '()-r`"{}°·',
    500: "cksvxyzJ*^",
    611: "FTZ+<=>~×",
    667: "ABEKPSVXY&",
    722: "CDHNRUw",
    778: "GOQ",
    840: "Mm",
    940: "W%",
    1015: "@",
}
_THOUSANDTHS = {letter: width for width, letters in _CLASSES.items() for letter in letters}
_DIGIT = 556
_FIRST_WIDE = "\u2e80"  # from here on the scripts of East Asia, each sign as wide as it is high
_BOLD = 1.08
_PADDING = 0.8  # a cell leaves free at its two sides
_INDENT = 1.6  # one step of indent


def text_digits(text: str, *, bold: bool = False) -> float:
    """Return the width of a line of text in digits of the same size."""
    thousandths = sum(_THOUSANDTHS.get(sign, 1000 if sign >= _FIRST_WIDE else _DIGIT) for sign in text)
    return thousandths / _DIGIT * (_BOLD if bold else 1)


def wrapped_lines(text: str, width: float, *, bold: bool = False, indent: int = 0) -> int:
    """Return into how many lines a cell so many digits wide breaks a text of the standard size."""
    room = max(1.0, width - _PADDING - indent * _INDENT)
    return sum(_lines(paragraph, room, bold=bold) for paragraph in text.split("\n"))


def _lines(paragraph: str, room: float, *, bold: bool) -> int:
    """Fill line after line with whole words; a word longer than a line is broken anywhere."""
    lines, used = 1, 0.0
    for word in re.findall("[^ ]* ?", paragraph):
        digits = text_digits(word.rstrip(" "), bold=bold)
        if used and used + digits > room:
            lines, used = lines + 1, 0.0
        if digits > room:
            lines += ceil(digits / room) - 1
            used = room
        else:
            used += text_digits(word, bold=bold)
    return lines


def number_digits(value: float, number_format: str, *, bold: bool = False) -> float:
    """Return how wide a column must be to show a number in full and not as `###`; 0 for formats other than `0.00`."""
    literals, bare = "".join(re.findall('"([^"]*)"', number_format)), re.sub('"[^"]*"', "", number_format)
    plain = re.fullmatch(r"(?:#,##)?0(?:\.(0+))?(%?)", bare)
    if plain is None:
        return 0
    places, percent = len(plain[1] or ""), plain[2]
    shown = f"{value * 100 if percent else value:,.{places}f}{percent}"
    return text_digits(literals + shown, bold=bold) + _PADDING
