"""Where things stand in a workbook: sheet titles, cells and ranges, and how formulas refer to them."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from openpyxl.utils import get_column_letter, quote_sheetname

LONGEST_TITLE = 31
_NOT_IN_TITLE = re.compile(r"[\x00-\x1f\x7f\[\]:*?/\\\ud800-\udfff\ufffe\uffff]+")


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """One cell of one sheet."""

    sheet: str
    row: int
    column: int

    @property
    def ref(self) -> str:
        """`D5`, for formulas of the same sheet: it moves along when a reader fills the formula down."""
        return f"{get_column_letter(self.column)}{self.row}"

    @property
    def full_ref(self) -> str:
        """`'Shop settings'!$D$5`, for formulas of any sheet: it stays put when the formula is filled down."""
        return f"{quote_sheetname(self.sheet)}!${get_column_letter(self.column)}${self.row}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Area:
    """A block of cells of one sheet, first and last row and column included."""

    sheet: str
    first_row: int
    first_column: int
    last_row: int
    last_column: int

    def __post_init__(self) -> None:
        if self.last_row < self.first_row or self.last_column < self.first_column:
            raise ValueError(f"there is no cell in {self.sheet}, {self.ref}")

    @property
    def ref(self) -> str:
        """`D5:D12`, for formulas of the same sheet."""
        first, last = get_column_letter(self.first_column), get_column_letter(self.last_column)
        return f"{first}{self.first_row}:{last}{self.last_row}"

    @property
    def full_ref(self) -> str:
        """`'Shop settings'!$D$5:$D$12`, for formulas of any sheet."""
        first, last = get_column_letter(self.first_column), get_column_letter(self.last_column)
        return f"{quote_sheetname(self.sheet)}!${first}${self.first_row}:${last}${self.last_row}"


def safe_title(text: str, taken: Iterable[str]) -> str:
    r"""Return a sheet title every spreadsheet program accepts and that none of the taken ones equals, in any case.

    At most 31 characters, none of `[ ] : * ? / \`, not `History`. An apostrophe becomes a typographic one: Excel
    refuses it at an end, and Gnumeric 1.12 cannot read a formula with a doubled one.
    """
    readable = _NOT_IN_TITLE.sub(" ", text).replace("'", "\N{RIGHT SINGLE QUOTATION MARK}")
    title = " ".join(readable.split())[:LONGEST_TITLE].strip() or "Sheet"
    used = {name.casefold() for name in taken} | {"history"}
    number = 2
    candidate = title
    while candidate.casefold() in used:
        suffix = f" {number}"
        candidate = title[: LONGEST_TITLE - len(suffix)].strip() + suffix
        number += 1
    return candidate
