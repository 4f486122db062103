"""Changes to a list that leave everything else in it as its owner has it.

Rows that do not change keep every sign they were saved with: delimiter, decimal commas, quotation marks, columns of
one's own, blank rows, ends of lines and encoding.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from estimator.reading.fields import name_key
from estimator.reading.lists import DELIMITERS, Column, decode, delimiter_of, encoding_of, named_delimiter

Change = Mapping[str, str] | None  # new texts by column, or None for a row that goes


@dataclass(frozen=True, kw_only=True, slots=True)
class _SavedRow:
    """A row as it stands in the file: the physical line it begins on, its cells, and its text with the line's end."""

    line: int
    cells: list[str]
    text: str


def changed_list(
    raw: bytes, wanted: Sequence[Column], changes: Mapping[int, Change], added: Iterable[Mapping[str, str]]
) -> bytes:
    """Return a list that has been read without a fault, with rows changed by their line and others added at its end.

    A column that an added row needs and the list lacks is added behind the others.
    """
    text = decode(raw)
    delimiter = delimiter_of(text)
    rows = _saved_rows(text, delimiter)
    first = 2 if named_delimiter(text) else 1
    heading = next(row for row in rows if row.line >= first and any(cell.strip() for cell in row.cells))
    end = _line_end(heading.text) or "\n"
    names = _names(heading.cells, wanted)
    added = list(added)
    missing = [one.name for one in wanted if one.name not in names and any(row.get(one.name) for row in added)]
    if missing:
        changes = {**changes, heading.line: dict(zip(missing, missing, strict=True))}
        names += missing
    kept = [_changed(row, changes, names, delimiter) for row in rows]
    whole = "".join(kept)
    if added and _line_end(whole) == "":
        whole += end
    whole += "".join(_row_text([row.get(name, "") for name in names], delimiter) + end for row in added)
    return _encoded(whole, encoding_of(raw))


def new_list(wanted: Sequence[Column], rows: Iterable[Mapping[str, str]]) -> bytes:
    """Return a list of our own, as spreadsheet programs open it without asking: UTF-8 with its mark, commas."""
    names = [column.name for column in wanted]
    lines = [names, *([row.get(name, "") for name in names] for row in rows)]
    return "".join(_row_text(cells, DELIMITERS[0]) + "\n" for cells in lines).encode("utf-8-sig")


def _saved_rows(text: str, delimiter: str) -> list[_SavedRow]:
    lines = list(io.StringIO(text, newline=""))
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    rows, start = [], 0
    for cells in reader:
        rows.append(_SavedRow(line=start + 1, cells=cells, text="".join(lines[start : reader.line_num])))
        start = reader.line_num
    return rows


def _names(headings: Iterable[str], wanted: Iterable[Column]) -> list[str]:
    """Return our name of each column; headings that are not ours stay as they are."""
    ours = {name_key(column.name): column.name for column in wanted}
    return [ours.get(name_key(heading), heading) for heading in headings]


def _changed(row: _SavedRow, changes: Mapping[int, Change], names: Sequence[str], delimiter: str) -> str:
    """Return a row's text as it is saved: as it was, changed, or nothing where it goes."""
    if row.line not in changes:
        return row.text
    change = changes[row.line]
    if change is None:
        return ""
    cells = row.cells + [""] * (len(names) - len(row.cells))
    for name, text in change.items():
        cells[names.index(name)] = text
    return _row_text(cells, delimiter) + _line_end(row.text)


def _row_text(cells: Iterable[str], delimiter: str) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter, lineterminator="").writerow(cells)
    return text.getvalue()


def _line_end(text: str) -> str:
    """Return the signs that end the last line, nothing where it has none."""
    return next((end for end in ("\r\n", "\n", "\r") if text.endswith(end)), "")


def _encoded(text: str, encoding: str) -> bytes:
    try:
        return text.encode(encoding)
    except UnicodeEncodeError:  # a name from elsewhere that the list's old encoding lacks
        return text.encode("utf-8-sig")
