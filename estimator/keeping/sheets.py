"""What a supplier sends, as rows of texts with their lines: CSV of any common flavour, or an .xlsx workbook.

The content decides what a file is, not its name. A workbook is packed, so its size unpacked is looked at before it is
opened; all of it is read row by row. Numbers and dates become the texts that the sheet shows.
"""

import csv
import io
import re
import struct
import warnings
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from itertools import islice
from typing import Protocol, cast

from estimator.errors import Findings, Origin
from estimator.reading.lists import DELIMITERS, decode, named_delimiter, numbered_rows

Rows = Iterator[tuple[int, list[str]]]

# What a price list may come to; a workbook of 100,000 rows has 5 MB, 60 MB unpacked. Common sense, no source.
LARGEST_LIST = 100_000_000
MOST_ENTRIES = 1_000
LARGEST_ENTRY = 200_000_000
LARGEST_UNPACKED = 300_000_000
SMALL_ENTRY = 1_000_000  # under which no ratio is judged
HIGHEST_RATIO = 200  # rows of one text pack 100 to 1, one sign over and over 1032 to 1; from memory
MOST_COLUMNS = 1_000
LONGEST_TAG = 10_000  # signs of one that says a row is hidden; common sense, no source
LAST_ROW = 1_048_576  # of an .xlsx sheet; from memory
LOOKED_AT = 50  # rows by which a delimiter is found
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


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """The rows of a list that are not blank, read as they are asked for, each with its line."""

    origin: Origin
    rows: Rows
    decimal_comma: bool  # whether a comma starts the decimals, where the map does not say


class _Cell(Protocol):
    """What is asked of a cell that the spreadsheet library reads."""

    @property
    def value(self) -> object:
        """Its value, of whatever type."""


class _OpenSheet(Protocol):
    """What is asked of a sheet that the spreadsheet library reads row by row."""

    title: str

    def reset_dimensions(self) -> None:
        """Forget the size that the sheet says it has."""

    def iter_rows(self) -> Iterator[tuple[_Cell, ...]]:
        """Yield the cells of each row, and nothing for a row that is left out."""


class _NoListError(Exception):
    """Why a file is no list that can be read, and what to do about it."""


def open_sheet(
    content: bytes, file_name: str, findings: Findings, *, sheet: str = "", decimal: str | None = None
) -> Sheet | None:
    """Return the rows of a list, or None with a fault where the file is none.

    `sheet` names one of a workbook, the first where it is blank. `decimal` is what starts the decimals, where that is
    known: a workbook's numbers are then written with it.
    """
    origin = Origin(file=file_name)
    try:
        if len(content) > LARGEST_LIST:
            raise _NoListError(f"has more than {LARGEST_LIST:,} bytes; ask for a shorter list")  # noqa: TRY301
        if content.startswith(b"PK"):
            rows = _workbook_rows(content, sheet, decimal or ".", origin, findings)
            return Sheet(origin=origin, rows=rows, decimal_comma=decimal == ",")
        return _csv_sheet(content, origin, findings, decimal)
    except _NoListError as reason:
        findings.fault(origin, str(reason))
        return None


def _csv_sheet(content: bytes, origin: Origin, findings: Findings, decimal: str | None) -> Sheet:
    try:
        text = decode(content)
    except UnicodeDecodeError:
        raise _NoListError(f"is {_kind(content)}; ask for it as .csv or .xlsx") from None
    if text.lstrip()[:1] == "<":
        raise _NoListError("is a web page, no list: its address may want a sign-in; save the list itself and name that")
    delimiter = named_delimiter(text) or _delimiter(text)
    decimal_comma = decimal == "," if decimal else delimiter == ";"
    return Sheet(origin=origin, rows=numbered_rows(text, delimiter, origin, findings), decimal_comma=decimal_comma)


def _kind(content: bytes) -> str:
    kinds = {b"\xd0\xcf\x11\xe0": "an old or a locked workbook", b"%PDF": "a PDF", b"\x1f\x8b": "packed"}
    return next((kind for start, kind in kinds.items() if content.startswith(start)), "no plain text")


def _delimiter(text: str) -> str:
    """Return the delimiter by which most of the first rows have the same number of cells, the more the better.

    Titles stand above the headings of many lists, so that the first row says little.
    """

    def agreement(delimiter: str) -> tuple[int, int]:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        try:
            counts = Counter(len(cells) for cells in islice(reader, LOOKED_AT) if len(cells) > 1)
        except csv.Error:
            return 0, 0
        return max(((rows, cells) for cells, rows in counts.items()), default=(0, 0))

    return max(DELIMITERS, key=agreement)


def _workbook_rows(content: bytes, sheet: str, mark: str, origin: Origin, findings: Findings) -> Rows:
    """Check a workbook, then return its rows."""
    from openpyxl import load_workbook  # noqa: PLC0415 - 0.2 s that lists in CSV do without

    hidden = _check_package(content)
    if hidden:
        findings.notice(origin, f"hides {hidden} of its rows; they are read like the rest")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about what this program has no use for, such as drop-down lists
            workbook = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            sheets = {one.title: cast("_OpenSheet", one) for one in workbook.worksheets}
    except _DAMAGE as reason:
        raise _NoListError(_DAMAGED) from reason
    if sheet and sheet not in sheets:
        raise _NoListError(f'has no sheet "{sheet}"; write one of these into the map: {", ".join(sheets)}')
    if not sheets:
        raise _NoListError("has no sheet of cells; ask for another")
    name = sheet or next(iter(sheets))
    if not sheet and len(sheets) > 1:
        findings.notice(origin, f'has {len(sheets)} sheets; "{name}" is read, for the map names none')
    return _numbered(sheets[name], mark, origin, findings)


_DAMAGED = "is a damaged workbook; open it in your spreadsheet program, save it anew as .xlsx and name that"


def _check_package(content: bytes) -> int:
    """Return how many rows of a workbook are hidden; raise _NoListError for one that is none or is packed to harm."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            entries = package.infolist()
            _check_sizes(entries)
            if not any(entry.filename.startswith("xl/") for entry in entries):
                raise _NoListError("is no .xlsx workbook; open it in your spreadsheet program and save it as .xlsx")
            return sum(_scan(package, entry) for entry in entries if entry.filename.endswith((".xml", ".rels")))
    except _DAMAGE as reason:
        raise _NoListError(_DAMAGED) from reason


def _check_sizes(entries: list[zipfile.ZipInfo]) -> None:
    """Refuse what would fill the memory once unpacked; no more than an entry claims is ever unpacked of it."""
    for entry in entries:
        packed_to_harm = entry.file_size > SMALL_ENTRY and entry.file_size > HIGHEST_RATIO * entry.compress_size
        if packed_to_harm or entry.file_size > LARGEST_ENTRY:
            raise _NoListError(
                f'unpacks to {entry.file_size:,} bytes in "{entry.filename}", too many for a price list; ask for a '
                "shorter one, or delete its empty rows"
            )
    total = sum(entry.file_size for entry in entries)
    if len(entries) > MOST_ENTRIES or total > LARGEST_UNPACKED:
        raise _NoListError(
            f"unpacks to {total:,} bytes in {len(entries):,} files, too many for a price list; ask for a shorter one"
        )


_HIDDEN_ROW = re.compile(rb'<(?:\w+:)?row\b[^<>]*\bhidden="(?:1|true)"')


def _scan(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> int:
    """Return the hidden rows of a part; entities are refused, which ECMA-376 part 2 forbids (from memory)."""
    hidden, rest = 0, b""
    with package.open(entry) as part:
        while chunk := part.read(1 << 20):
            text = rest + chunk
            if b"<!DOCTYPE" in text.replace(b"\0", b""):  # without the zeros of UTF-16
                raise _NoListError("holds declarations that no workbook needs and that may do harm; do not open it")
            whole, sign, rest = text.rpartition(b"<")  # a tag may go on in the next chunk
            rest = (sign + rest)[:LONGEST_TAG]
            if entry.filename.startswith("xl/worksheets/"):
                hidden += len(_HIDDEN_ROW.findall(whole))
    return hidden


def _numbered(sheet: _OpenSheet, mark: str, origin: Origin, findings: Findings) -> Rows:
    """Yield the rows of a sheet that are not blank; what is wrong further down is noted, and the reading ends there."""
    sheet.reset_dimensions()  # what a sheet says of its size may be anything
    rows = enumerate(sheet.iter_rows(), 1)
    line = 0
    while True:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                batch = list(islice(rows, 1000))
            texts = [(line, _texts(cells, mark)) for line, cells in batch]
        except _DAMAGE:
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


def _texts(cells: tuple[_Cell, ...], mark: str) -> list[str]:
    """Return the texts of a row without blanks at its end."""
    texts = ["" if cell.value is None else _text(cell, mark) for cell in cells]
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
