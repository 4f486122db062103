"""CSV lists as spreadsheet programs save them: any common delimiter, encoding, column order and blank rows.

Not read with pandas: it shifts columns at a trailing delimiter, turns `NA` and `00123` into other values and knows no
line numbers. Every fault here names the physical line.
"""

import csv
import io
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, closest, name_key, nearest

DELIMITERS = ",;\t|"
LONGEST_HEADING = 1_000_000  # signs in which the first row must lie; common sense, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    """A heading of a list; `required` means the heading must be there, whether cells may be blank is the reader's."""

    name: str
    required: bool = True


def columns(required: str, optional: str = "") -> tuple[Column, ...]:
    """Describe a list's headings: names separated by commas."""
    return (
        *(Column(name=name.strip()) for name in required.split(",")),
        *(Column(name=name.strip(), required=False) for name in optional.split(",") if name.strip()),
    )


def shown_path(path: Path) -> str:
    """Return a path as messages show it: as seen from the folder one stands in where it lies in there, else whole."""
    whole = path.resolve()
    return str(whole.relative_to(Path.cwd()) if whole.is_relative_to(Path.cwd()) else whole)


def read_list(path: Path, wanted: tuple[Column, ...], findings: Findings) -> tuple[Fields, ...]:
    """Return the rows of a list that is there, each with its file and line; faults go to `findings`."""
    return tuple(each_row(path, wanted, findings))


def each_row(path: Path, wanted: tuple[Column, ...], findings: Findings) -> Iterator[Fields]:
    """Yield the rows of a list one by one, so that a long one takes no more memory than what is kept of it."""
    origin = Origin(file=shown_path(path))
    try:
        text = decode(path.read_bytes())
    except OSError as reason:
        findings.fault(origin, f"cannot be read ({reason.strerror}); put the list there or mend its name")
        return
    except UnicodeDecodeError:
        findings.fault(origin, "is no plain text; save it from the spreadsheet program as CSV (UTF-8)")
        return
    delimiter = delimiter_of(text)
    faults_before = len(findings.faults)
    rows = numbered_rows(text, delimiter, origin, findings)
    heading_line, headings = next(rows, (0, []))
    if not headings:
        if len(findings.faults) == faults_before:
            findings.fault(origin, f"is empty; its first row needs the headings {', '.join(c.name for c in wanted)}")
        return
    names = _match_headings(headings, wanted, Origin(file=origin.file, line=heading_line), findings)
    for line, cells in rows:  # read to the end in any case, for a quotation mark may be out of place
        if names is not None:
            place = Origin(file=origin.file, line=line)
            yield _row(cells, names, place, findings, decimal_comma=delimiter == ";")


def decode(raw: bytes) -> str:
    """Return the text of UTF-8 (with or without a byte order mark), UTF-16 with one, or else Windows-1252."""
    return raw.decode(encoding_of(raw))


def encoding_of(raw: bytes) -> str:
    """Return the encoding a list was saved in; UnicodeDecodeError where it is no text."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    if b"\x00" in raw or raw.startswith(b"PK\x03\x04"):
        raise UnicodeDecodeError("utf-8", raw[:1], 0, 1, "binary")
    encoding = "utf-8-sig" if raw.startswith(b"\xef\xbb\xbf") else "utf-8"
    try:
        raw.decode(encoding)
    except UnicodeDecodeError:
        return "cp1252"
    return encoding


def delimiter_of(text: str) -> str:
    """Return the delimiter that the first line names (`sep=;`), or else the one the heading row has most of."""
    named = named_delimiter(text)
    if named:
        return named
    filled = (line for line in re.split(r"\r\n|\r|\n", text[:LONGEST_HEADING]) if line.strip(DELIMITERS + ' "'))
    return max(DELIMITERS, key=next(filled, "").count)


def named_delimiter(text: str) -> str:
    """Return the delimiter of a first line like `sep=;`, which some spreadsheet programs write and expect, or nothing.

    The line is no row of the list.
    """
    found = re.match(rf'"?sep=([{re.escape(DELIMITERS)}])"?(?=[\r\n]|$)', text, re.IGNORECASE)
    return found[1] if found else ""


def numbered_rows(
    text: str, delimiter: str, origin: Origin, findings: Findings, widths: dict[int, int] | None = None
) -> Iterator[tuple[int, list[str]]]:
    """Yield each row that is not blank with the physical line it begins on, trailing blank cells taken off.

    `widths` gets by line how many cells a row has with them.
    """
    lines = io.StringIO(text, newline="")
    skipped = 1 if named_delimiter(text) else 0
    for _ in range(skipped):
        next(lines)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        line = skipped + reader.line_num + 1
        try:
            cells = [sys.intern(cell.strip()) for cell in next(reader)]  # long lists hold the same few texts
        except StopIteration:
            return
        except csv.Error:
            remedy = 'write inches without one, like 24 1/2, or doubled, like "24 1/2"""'
            findings.fault(
                Origin(file=origin.file, line=line),
                f"a quotation mark in the row that begins here is out of place or never closed; {remedy}",
            )
            return
        if widths is not None:
            widths[line] = len(cells)
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield line, cells


def _match_headings(
    headings: list[str], wanted: tuple[Column, ...], origin: Origin, findings: Findings
) -> list[str] | None:
    """Return our name of each column, or None where a needed one is missing; unknown headings stay as they are."""
    ours = {name_key(column.name): column.name for column in wanted}
    names = [ours.get(name_key(heading), heading) for heading in headings]
    unknown = [heading for heading in headings if heading and name_key(heading) not in ours]
    complete = True
    for column in wanted:
        if names.count(column.name) > 1:
            findings.fault(origin, f'two columns are headed "{column.name}"; rename or delete one')
            complete = False
        if column.required and column.name not in names:
            near = closest(column.name, unknown)
            remedy = f'rename "{near}", or add it' if near else "add it to the headings"
            findings.fault(origin, f'the column "{column.name}" is missing; {remedy}')
            complete = False
    unused = [column.name for column in wanted if column.name not in names]
    for heading in unknown:
        findings.notice(origin, f'the column "{heading}" is not known and is passed over{nearest(heading, unused)}')
    return names if complete else None


def _row(cells: list[str], names: list[str], origin: Origin, findings: Findings, *, decimal_comma: bool) -> Fields:
    """Return one row; a value under no heading is a fault, for it would be lost without a word."""
    stray = next((cell for cell, name in zip_longest(cells, names, fillvalue="") if cell and not name), "")
    if stray:
        remedy = "give its column a heading, or put quotation marks around a text with commas or semicolons in it"
        findings.fault(origin, f'"{stray}" stands under no heading; {remedy}')
    shifted = len(cells) > len(names)  # then the other cells may be under a wrong heading too: no faults of theirs
    return Fields(
        texts=dict(zip(names, cells, strict=False)),
        origin=origin,
        findings=Findings() if shifted else findings,
        decimal_comma=decimal_comma,
    )
