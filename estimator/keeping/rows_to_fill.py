"""Rows that price tables lack: one for each item, written as the user's own tables are, known cells filled."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import Fault, Findings, RowToFill
from estimator.reading.fields import name_key
from estimator.reading.list_changes import changed_list, new_list
from estimator.reading.lists import DELIMITERS, Column, decode, delimiter_of, each_row, named_delimiter
from estimator.reading.prices import LABOUR_RATE_COLUMNS
from estimator.reading.sold import SOLD
from estimator.reading.spread_rates import SPREAD_COLUMNS

# The price tables that rows are added to, in the order in which they are shown.
TABLES: Mapping[str, tuple[Column, ...]] = {
    **SOLD,
    "labour_rates": LABOUR_RATE_COLUMNS,
    "spread_rates": SPREAD_COLUMNS,
}
NUMBERS = ("price", "per_hour", "pack", "length", "container", "rate")  # columns whose decimal mark is the list's
Cells = Mapping[str, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class TableToFill:
    """The rows one table lacks, as lines to paste; `new_columns` are needed for them and missing in its headings."""

    path: Path
    heading: str
    lines: tuple[str, ...]
    new_columns: tuple[str, ...]

    @property
    def is_there(self) -> bool:
        """Whether there is such a table already."""
        return self.path.exists()


def missing_rows(faults: Iterable[Fault]) -> tuple[RowToFill, ...]:
    """Return the rows that would mend faults, one for each item, table by table.

    Wood that is asked for with a grade and without one is one item: once a single grade is sold, it is taken for both.
    """
    rows: dict[tuple[str, ...], RowToFill] = {}
    for row in (row for fault in faults for row in fault.rows):
        rows.setdefault(_key(row), row)
    graded = {_key(row, without="grade") for row in rows.values() if dict(row.known).get("grade")}
    kept = [row for key, row in rows.items() if key not in graded]
    return tuple(sorted(kept, key=lambda row: list(TABLES).index(row.table.stem)))


def _key(row: RowToFill, without: str = "") -> tuple[str, ...]:
    return row.table.stem, *(name_key(f"{name}={text}") for name, text in row.known if name != without)


def proposals(row: RowToFill, today: date) -> dict[str, str]:
    """Return what most rows like this one say; a price that is entered today is of today, whatever day an order has."""
    is_dated = any(column.name == "date" for column in TABLES[row.table.stem])
    return {**dict(row.proposed), **({"date": today.isoformat()} if is_dated else {})}


def tables_to_fill(rows: Sequence[RowToFill], today: date) -> tuple[TableToFill, ...]:
    """Return the tables that rows belong in, each as it would read with them; `today` is proposed for their dates."""
    by_table: dict[Path, list[RowToFill]] = {}
    for row in rows:
        by_table.setdefault(row.table, []).append(row)
    return tuple(_table_to_fill(path, some, today) for path, some in by_table.items())


def _table_to_fill(path: Path, rows: Sequence[RowToFill], today: date) -> TableToFill:
    raw = path.read_bytes() if path.exists() else None
    supplier = usual_supplier(path)
    cells = [{"supplier": supplier, **dict(row.known), **proposals(row, today)} for row in rows]
    lines = lines_of(with_rows(raw, path.stem, cells))
    before = _cells_of(_heading(lines_of(raw)), raw) if raw is not None else []
    after = _heading(lines)
    return TableToFill(
        path=path,
        heading=after,
        lines=tuple(lines[-len(rows) :]),
        new_columns=tuple(_cells_of(after, raw)[len(before) :]) if raw is not None else (),
    )


def usual_supplier(path: Path) -> str:
    """Return whom a table names most often, nothing where it names nobody or is not there."""
    if path.stem not in SOLD or not path.exists():
        return ""
    names = Counter(row.texts.get("supplier", "") for row in each_row(path, TABLES[path.stem], Findings()))
    del names[""]
    return names.most_common(1)[0][0] if names else ""


def with_rows(raw: bytes | None, table: str, rows: Iterable[Cells]) -> bytes:
    """Return a table with rows at its end, all else in it as it was; a new one where there was none."""
    wanted = TABLES[table]
    comma = raw is not None and has_decimal_comma(raw)
    written = [{name: written_as(name, text, decimal_comma=comma) for name, text in row.items()} for row in rows]
    return new_list(wanted, written) if raw is None else changed_list(raw, wanted, {}, written)


def has_decimal_comma(raw: bytes) -> bool:
    """Whether numbers in a list have a comma before their decimals: a comma goes with semicolons."""
    return delimiter_of(decode(raw)) == ";"


def written_as(column: str, text: str, *, decimal_comma: bool) -> str:
    """Return a text on one line, with the decimal mark of its list where it holds a number with the other one."""
    line = " ".join(text.split())
    mark, other = (",", ".") if decimal_comma else (".", ",")
    if column not in NUMBERS or mark in line:
        return line
    return re.sub(rf"(?<![\d{other}])(\d+)\{other}(\d+)(?![\d{other}])", rf"\1{mark}\2", line)


def lines_of(raw: bytes) -> list[str]:
    """Return the lines of a list, without the end of the last one."""
    return re.split(r"\r\n|\r|\n", decode(raw).rstrip("\r\n"))


def _heading(lines: Sequence[str]) -> str:
    return next(line for line in lines if line.strip(DELIMITERS + ' "') and not named_delimiter(line))


def _cells_of(line: str, raw: bytes | None) -> list[str]:
    return line.split(delimiter_of(decode(raw))) if raw is not None else []
