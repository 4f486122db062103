"""The rows of an .xlsx workbook as texts with their numbers, read only and row by row.

A workbook is packed, so its size unpacked is looked at before it is opened. Numbers and dates become the texts that the
sheet shows.
"""

import io
import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from itertools import islice, repeat
from typing import Protocol, cast

from estimator.errors import Findings, Origin

Rows = Iterator[tuple[int, list[str]]]

# What a price list may come to; a workbook of 100,000 rows has 5 MB, 60 MB unpacked. Common sense, no source.
MOST_ENTRIES = 1_000
LARGEST_ENTRY = 200_000_000
LARGEST_UNPACKED = 300_000_000
SMALL_ENTRY = 1_000_000  # under which no ratio is judged
HIGHEST_RATIO = 200  # rows of one text pack 100 to 1, one sign over and over 1032 to 1; from memory
MOST_COLUMNS = 1_000
LONGEST_TAG = 10_000  # signs of one that says a row is hidden; common sense, no source
LAST_ROW = 1_048_576  # of an .xlsx sheet; from memory
NOT_WORKED_OUT = "#UNSAVED"  # stands for a formula that was saved without its value
SHOWN_DIGITS = 15  # that a spreadsheet program shows of a number without a format

# What reading a damaged or hostile workbook raises, down to the packing and the markup.
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    SyntaxError,
    ArithmeticError,
    AssertionError,
    AttributeError,
    struct.error,
    EOFError,
    LookupError,
    NotImplementedError,
    OSError,
    RuntimeError,
    TypeError,
    ValueError,
)


class _Cell(Protocol):
    """What is asked of a cell that the spreadsheet library reads."""

    @property
    def value(self) -> object:
        """Its value, of whatever type."""

    @property
    def data_type(self) -> str:
        """The type it was saved as: `f` for a formula where formulas are read, `str` for the text of one."""


class _OpenSheet(Protocol):
    """What is asked of a sheet that the spreadsheet library reads row by row."""

    title: str

    def reset_dimensions(self) -> None:
        """Forget the size that the sheet says it has."""

    def iter_rows(self) -> Iterator[tuple[_Cell, ...]]:
        """Yield the cells of each row, and nothing for a row that is left out."""


class NoListError(Exception):
    """Why a file is no list that can be read, and what to do about it."""


def workbook_rows(content: bytes, sheet: str, mark: str, origin: Origin, findings: Findings) -> Rows:
    """Check a workbook, then return its rows."""
    hidden, has_formulas = _check_package(content)
    if hidden:
        findings.notice(origin, f"hides {hidden} of its rows; they are read like the rest")
    sheets = _sheets(content, formulas=False)
    if sheet and sheet not in sheets:
        raise NoListError(f'has no sheet "{sheet}"; write one of these into the map: {", ".join(sheets)}')
    if not sheets:
        raise NoListError("has no sheet of cells; ask for another")
    name = sheet or next(iter(sheets))
    if not sheet and len(sheets) > 1:
        findings.notice(origin, f'has {len(sheets)} sheets; "{name}" is read, for the map names none')
    formulas = _sheets(content, formulas=True)[name] if has_formulas else None
    return _numbered(sheets[name], formulas, mark, origin, findings)


def names_of_sheets(content: bytes) -> tuple[str, ...]:
    """Check a workbook, then return the names of its sheets in their order."""
    _check_package(content)
    return tuple(_sheets(content, formulas=False))


def _sheets(content: bytes, *, formulas: bool) -> dict[str, _OpenSheet]:
    """Return the sheets of a workbook by their names, with the formulas of their cells or with what these came to."""
    from openpyxl import load_workbook  # noqa: PLC0415 - 0.2 s that lists in CSV do without

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about what this program has no use for, such as drop-down lists
            workbook = load_workbook(io.BytesIO(content), read_only=True, data_only=not formulas)
            return {one.title: cast("_OpenSheet", one) for one in workbook.worksheets}
    except _DAMAGE as reason:
        raise NoListError(_DAMAGED) from reason


_DAMAGED = "is a damaged workbook; open it in your spreadsheet program, save it anew as .xlsx and name that"


def _check_package(content: bytes) -> tuple[int, bool]:
    """Return how many rows of a workbook are hidden, and whether it has formulas.

    Raises NoListError for one that is none or is packed to harm.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            entries = package.infolist()
            _check_sizes(entries)
            if not any(entry.filename.startswith("xl/") for entry in entries):
                raise NoListError("is no .xlsx workbook; open it in your spreadsheet program and save it as .xlsx")
            scanned = [_scan(package, entry) for entry in entries if entry.filename.endswith((".xml", ".rels"))]
            return sum(hidden for hidden, _ in scanned), any(formulas for _, formulas in scanned)
    except _DAMAGE as reason:
        raise NoListError(_DAMAGED) from reason


def _check_sizes(entries: list[zipfile.ZipInfo]) -> None:
    """Refuse what would fill the memory once unpacked; no more than an entry claims is ever unpacked of it."""
    for entry in entries:
        packed_to_harm = entry.file_size > SMALL_ENTRY and entry.file_size > HIGHEST_RATIO * entry.compress_size
        if packed_to_harm or entry.file_size > LARGEST_ENTRY:
            raise NoListError(
                f'unpacks to {entry.file_size:,} bytes in "{entry.filename}", too many for a price list; ask for a '
                "shorter one, or delete its empty rows"
            )
    total = sum(entry.file_size for entry in entries)
    if len(entries) > MOST_ENTRIES or total > LARGEST_UNPACKED:
        raise NoListError(
            f"unpacks to {total:,} bytes in {len(entries):,} files, too many for a price list; ask for a shorter one"
        )


_FORMULA = re.compile(rb"<(?:\w+:)?f[ />]")
_HIDDEN_ROW = re.compile(rb'<(?:\w+:)?row\b[^<>]*\bhidden="(?:1|true)"')


def _scan(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> tuple[int, bool]:
    """Return the hidden rows of a part and whether it has formulas.

    Entities are refused, which ECMA-376 part 2 forbids (from memory).
    """
    hidden, formulas, rest = 0, False, b""
    is_sheet = entry.filename.startswith("xl/worksheets/")
    with package.open(entry) as part:
        while chunk := part.read(1 << 20):
            text = rest + chunk.replace(b"\0", b"")  # without the zeros of UTF-16
            if b"<!DOCTYPE" in text:
                raise NoListError("holds declarations that no workbook needs and that may do harm; do not open it")
            whole, sign, rest = text.rpartition(b"<")  # a tag may go on in the next chunk
            rest = (sign + rest)[:LONGEST_TAG]
            if is_sheet:
                hidden += len(_HIDDEN_ROW.findall(whole))
                formulas = formulas or _FORMULA.search(whole) is not None
    return hidden, formulas


def _numbered(sheet: _OpenSheet, formulas: _OpenSheet | None, mark: str, origin: Origin, findings: Findings) -> Rows:
    """Yield the rows of a sheet that are not blank; what is wrong further down is noted, and the reading ends there.

    `formulas` is the same sheet with its formulas, None where it has none.
    """
    rows = enumerate(zip(_cells(sheet), _cells(formulas) if formulas else repeat(()), strict=False), 1)
    line = 0
    while True:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                batch = list(islice(rows, 1000))
            texts = [(line, _texts(cells, formulas_of_row, mark)) for line, (cells, formulas_of_row) in batch]
        except Exception as reason:
            if not isinstance(reason, _DAMAGE) and not type(reason).__module__.startswith("openpyxl"):
                raise
            findings.fault(Origin(file=origin.file, line=line or None), _DAMAGED)
            return
        if not batch:
            return
        for line, cells in texts:
            if line > LAST_ROW or len(cells) > MOST_COLUMNS:
                what = "a row beyond the last" if line > LAST_ROW else f"more than {MOST_COLUMNS:,} columns"
                findings.fault(Origin(file=origin.file, line=line), f"has {what}, so it is no price list; {_MEND}")
                return
            if cells:
                yield line, cells


_MEND = "delete what stands far from the list and save it anew"


def _cells(sheet: _OpenSheet) -> Iterator[tuple[_Cell, ...]]:
    sheet.reset_dimensions()  # what a sheet says of its size may be anything
    return sheet.iter_rows()


def _texts(cells: tuple[_Cell, ...], formulas: tuple[_Cell, ...], mark: str) -> list[str]:
    """Return the texts of a row without blanks at its end.

    A formula without a value is no blank: programs that write workbooks without working them out leave it so. One that
    came to no text was saved as a text.
    """
    texts = ["" if cell.value is None else _text(cell, mark) for cell in cells]
    for place, (cell, formula) in enumerate(zip(cells, formulas, strict=False)):
        if cell.value is None and formula.data_type == "f" and cell.data_type != "str":
            texts[place] = NOT_WORKED_OUT
    while texts and not texts[-1]:
        texts.pop()
    return texts


def _text(cell: _Cell, mark: str) -> str:
    """Return what a cell shows; dates as 2026-11-24, numbers without signs that group thousands."""
    value = cell.value
    match value:
        case bool():
            return str(value).upper()
        case int() | float():
            return _number_text(value, getattr(cell, "number_format", "")).replace(".", mark)
        case datetime():
            return value.date().isoformat()
        case date():
            return value.isoformat()
        case _:
            return str(value).strip()


_FIXED = re.compile(r"[#,0 ]*0(?:\.(0+))?(%?)")


def _number_text(value: float, number_format: str) -> str:
    """Return a number as its format shows it where that fixes the decimals, else with the digits a program shows.

    The digits behind are those of binary fractions or of a price that was worked out: 12.5 may be stored as
    12.500000000000002, and 11.235 is shown, and meant, as 11.24 in a column of cents.
    """
    number = Decimal(f"{value:.{SHOWN_DIGITS}g}")
    plain = re.sub(r'"[^"]*"|\[[^\]]*\]|\\.|_.|[$€£¥* ]', "", number_format.partition(";")[0])
    fixed = _FIXED.fullmatch(plain)
    if fixed is None:
        return f"{number:f}"
    scaled = number * 100 if fixed[2] else number
    shown = scaled.quantize(Decimal(1).scaleb(-len(fixed[1] or "")), ROUND_HALF_UP)
    return f"{shown:f}{fixed[2]}"
