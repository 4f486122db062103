"""The rows that price tables lack, printed behind the faults, ready to paste and fill in."""

import sys
from collections.abc import Iterable
from datetime import date

from estimator.cli.asked_for import AskedFor
from estimator.cli.terminal import WIDTH, wrapped
from estimator.errors import Fault
from estimator.keeping.rows_to_fill import TableToFill, missing_rows, tables_to_fill
from estimator.reading.lists import shown_path


def print_rows_to_paste(faults: Iterable[Fault], asked: AskedFor, today: date) -> None:
    """Print on standard error where to put which rows, dated today; nothing where no fault is mended by a row."""
    rows = missing_rows(faults)
    if not rows:
        return
    one = len(rows) == 1
    folder = shown_path(rows[0].table.parent)
    _print(
        f"What has no price or rate takes {'this row' if one else 'these rows'} in {folder}. Paste "
        f"{'it' if one else 'each'} at the end of its table and fill in what is empty; the line above "
        f"{'it' if one else 'them'} is the table's heading."
        f"{' Where a name was only misspelt, mend the name instead.' if any(row.hint for row in rows) else ''}"
    )
    for table in tables_to_fill(rows, today):
        print(f"\n{table.path.name}{_remark(table)}", file=sys.stderr)
        for line in (table.heading, *table.lines):
            print(line, file=sys.stderr)
    command = " ".join(filter(None, ["estimator prices add", asked.words]))
    print(f"\nOr be asked for what is missing, one after the other:\n{command}", file=sys.stderr)


def _remark(table: TableToFill) -> str:
    if not table.is_there:
        return " (not there yet: with its heading)"
    if table.new_columns:
        names = ", ".join(f'"{name}"' for name in table.new_columns)
        return f" (needs the column{'s' * (len(table.new_columns) > 1)} {names}: with the heading)"
    return ""


def _print(text: str) -> None:
    print(file=sys.stderr)
    for line in wrapped(text, WIDTH):
        print(line, file=sys.stderr)
