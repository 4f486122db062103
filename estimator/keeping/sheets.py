"""What a supplier sends, as rows of texts with their lines: CSV of any common flavour, or an .xlsx workbook.

The content decides what a file is, not its name.
"""

import csv
import io
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import islice

from estimator.errors import Findings, Origin
from estimator.keeping.workbooks import NoListError, Rows, names_of_sheets, workbook_rows
from estimator.reading.lists import DELIMITERS, decode, named_delimiter, numbered_rows

LARGEST_LIST = 100_000_000  # bytes; common sense, no source
LOOKED_AT = 50  # rows by which a delimiter is found
GARBLED_START, GARBLED_SHARE = 1_000, 0.02  # signs looked at, and the share of control signs; common sense, no source
NO_TEXT = "no plain text"
_BLANK = b" \t\r\n\xef\xbb\xbf"  # and the mark of UTF-8
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """The rows of a list that are not blank, read as they are asked for, each with its line."""

    origin: Origin
    rows: Rows
    decimal_comma: bool  # whether a comma starts the decimals, where the map does not say
    split_by: str = ""  # the sign between cells, which may stand in one of them too; blank for a workbook
    widths: Mapping[int, int] = field(default_factory=dict)  # how many cells each line of a CSV has, blank ones too


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
            raise NoListError(f"has more than {LARGEST_LIST:,} bytes; ask for a shorter list")  # noqa: TRY301
        if not content.strip(_BLANK):
            raise NoListError("is empty; save the list again, or ask for it again")  # noqa: TRY301
        if content.startswith(b"PK"):
            rows = workbook_rows(content, sheet, decimal or ".", origin, findings)
            return Sheet(origin=origin, rows=rows, decimal_comma=decimal == ",")
        if sheet:
            findings.notice(origin, f'is no workbook, so that sheet = "{sheet}" in its map is passed over')
        return _csv_sheet(content, origin, findings, decimal)
    except NoListError as reason:
        findings.fault(origin, str(reason))
        return None


def sheet_names(content: bytes) -> tuple[str, ...]:
    """Return the names of a workbook's sheets, none for anything else; reading it tells what is wrong with it."""
    try:
        return names_of_sheets(content) if content.startswith(b"PK") and len(content) <= LARGEST_LIST else ()
    except NoListError:
        return ()


def _csv_sheet(content: bytes, origin: Origin, findings: Findings, decimal: str | None) -> Sheet:
    try:
        text = decode(content)
    except UnicodeDecodeError:
        raise NoListError(_no_text(content, origin)) from None
    if _is_garbled(text):
        raise NoListError(_no_text(content, origin))
    if text.lstrip()[:1] == "<":
        raise NoListError("is a web page, no list: its address may want a sign-in; save the list itself and name that")
    delimiter = named_delimiter(text) or _delimiter(text)
    decimal_comma = decimal == "," if decimal else delimiter == ";"
    widths: dict[int, int] = {}
    rows = numbered_rows(text, delimiter, origin, findings, widths)
    return Sheet(origin=origin, rows=rows, decimal_comma=decimal_comma, split_by=delimiter, widths=widths)


def _is_garbled(text: str) -> bool:
    """Whether a text is none: most bytes pass for signs of some old encoding, but letters hold no control signs."""
    start = text[:GARBLED_START]
    return len(_CONTROL.findall(start)) > GARBLED_SHARE * len(start)


def _no_text(content: bytes, origin: Origin) -> str:
    """Return what a file is that is neither a workbook nor a text, and what to do."""
    kind = _kind(content)
    if origin.file.lower().endswith(".xlsx") and kind == NO_TEXT:
        return "is no workbook, though named so, and no plain text; ask for it again as .xlsx or .csv"
    return f"is {kind}; ask for it as .csv or .xlsx"


def _kind(content: bytes) -> str:
    kinds = {b"\xd0\xcf\x11\xe0": "an old or a locked workbook", b"%PDF": "a PDF", b"\x1f\x8b": "packed"}
    return next((kind for start, kind in kinds.items() if content.startswith(start)), NO_TEXT)


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
