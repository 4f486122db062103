"""Plain tables and sentences for a terminal of 80 columns."""

import json
import sys
import textwrap
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import typer

from estimator.errors import Notice
from estimator.reading.build import BUILD_FILE
from estimator.reading.order import ORDER_FILE, Order, read_order

WIDTH = 80
NO_BREAK = "\N{NO-BREAK SPACE}"


def load_order(path: Path, quantity: int | None) -> Order:
    """Read the order; a quantity beside an order.toml is a usage error, for the order has its own."""
    if quantity is not None and (path.name == ORDER_FILE or (path / ORDER_FILE).is_file()):
        raise typer.BadParameter(
            f"an order names its own quantities; change {ORDER_FILE}, or name the folder of one {BUILD_FILE}",
            param_hint="--quantity",
        )
    return read_order(path, today=date.today(), quantity=quantity)  # noqa: DTZ011 - the day on the user's own calendar


def print_table(headings: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1) -> None:
    """Print a table; the first `left` columns are texts, the rest are figures set right. Texts wrap to fit."""
    from rich.console import Console  # noqa: PLC0415 - not needed for --help and --json
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for place, heading in enumerate(headings):
        table.add_column(Text(heading), justify="left" if place < left else "right", overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell.replace(NO_BREAK, " ")) for cell in row))
    Console(width=WIDTH, highlight=False, color_system=None).print(table)


def counted(count: int, noun: str) -> str:
    """Return `1 board`, `3 boards`, for nouns that only take an s."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def print_heading(text: str) -> None:
    """Print a heading with a line under it."""
    print(f"\n{text}\n{'-' * len(text)}")


def print_notices(notices: Sequence[Notice]) -> None:
    """Print what the user should know, to standard error."""
    for notice in notices:
        print(f"note: {notice}", file=sys.stderr)


def print_json(document: Mapping[str, object], notices: Sequence[Notice]) -> None:
    """Print one JSON document; money and exact numbers are texts."""
    # Other signs as \u escapes, for a console or pipe of another encoding than UTF-8 would spoil them.
    print(json.dumps({**document, "notices": [str(notice) for notice in notices]}, indent=2, default=_plain))


def _plain(value: object) -> object:
    if isinstance(value, Fraction):
        return float(value)
    if isinstance(value, Decimal | date):
        return str(value)
    raise TypeError(f"{value!r} has no place in a JSON document")


def print_paragraph(text: str, *, indent: int = 0) -> None:
    """Print a paragraph wrapped to the width."""
    for line in wrapped(text, WIDTH - indent):
        print(f"{' ' * indent}{line}")


def wrapped(text: str, width: int) -> list[str]:
    """Return the lines of a text; none ends at a no-break space, which is printed as a plain one."""
    return [line.replace(NO_BREAK, " ") for line in textwrap.wrap(text, width, break_on_hyphens=False)]
