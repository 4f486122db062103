"""Prices and rates added to the tables by hand: checked as the tables' readers do, then written whole or not at all."""

import re
from collections.abc import Hashable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from estimator.errors import EstimatorError, Fault, Findings, Origin
from estimator.keeping.changes import item_words, sold_per
from estimator.keeping.former_tables import check_replaceable, keep_former
from estimator.keeping.formula_signs import could_be_formula
from estimator.keeping.history_entries import HISTORY_FILE, Cells, entered_price, history_with
from estimator.keeping.rows_to_fill import TABLES, has_decimal_comma, lines_of, with_rows, written_as
from estimator.keeping.written_numbers import price_text
from estimator.reading.fields import Fields, name_key
from estimator.reading.prices import LabourRate, PriceTables, labour_rate
from estimator.reading.shop import Shop
from estimator.reading.sold import (
    RANDOM_LENGTH,
    SOLD,
    ConsumablePrice,
    FinishPrice,
    HardwarePrice,
    LumberPrice,
    consumable_price,
    finish_price,
    hardware_price,
    lumber_price,
)
from estimator.reading.spread_rates import SpreadRate, spread_rate
from estimator.reading.suppliers import Suppliers
from estimator.whole_files import write_whole

_SIGNED_NUMBER = re.compile(r"[+-][\d.,]+")
TableRow = LumberPrice | HardwarePrice | FinishPrice | ConsumablePrice | LabourRate | SpreadRate


@dataclass(frozen=True, kw_only=True, slots=True)
class NewRow:
    """A row to be added to a table: its cells as they are written, and what they are read as."""

    table: str
    cells: Cells
    row: TableRow


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceBook:
    """The price tables of a shop, to add rows to; `formers` are their files as they were read, None for none."""

    shop: Shop
    tables: PriceTables
    formers: Mapping[str, bytes | None]

    def path(self, table: str) -> Path:
        """Return where a table is kept."""
        return self.tables.folder / f"{table}.csv"

    @property
    def supplier_names(self) -> tuple[str, ...]:
        """Everybody who sells something or whose terms are known, each once."""
        rows = (*self.tables.lumber, *self.tables.hardware, *self.tables.finishes, *self.tables.consumables)
        named = (*(row.supplier for row in rows), *(one.name for one in self.tables.suppliers))
        return tuple({name_key(name): name for name in named}.values())

    @property
    def suppliers(self) -> Suppliers:
        """The suppliers whose terms are known."""
        known = {name_key(one.name): one for one in self.tables.suppliers}
        return Suppliers(own_currency=self.shop.currency, known=known)


def price_book(shop: Shop, tables: PriceTables) -> PriceBook:
    """Return the tables of a shop that have just been read."""
    paths = {table: tables.folder / f"{table}.csv" for table in TABLES}
    formers = {table: path.read_bytes() if path.exists() else None for table, path in paths.items()}
    return PriceBook(shop=shop, tables=tables, formers=formers)


def faults_of(book: PriceBook, table: str, cells: Cells) -> tuple[Fault, ...]:
    """Return what the reader of a table has to say against a row; a row that is not whole yet lacks values."""
    findings = Findings()
    _read(book, table, cells, findings)
    for name, text in cells.items():
        if could_be_formula(text) and not _SIGNED_NUMBER.fullmatch(text):
            told = f'"{text}" could pass for a formula in a spreadsheet program; leave out the "{text[0]}" in front'
            findings.fault(Origin(file=f"{table}.csv"), told, name)
    return tuple(findings.faults)


def new_row(book: PriceBook, table: str, cells: Cells) -> NewRow:
    """Return a row without faults as it will be written: prices as plain numbers, decimals by the mark of the list."""
    comma = _decimal_comma(book, table)
    plain = {**cells, **_plain_cells(_read(book, table, cells, Findings()), book)}
    written = {name: written_as(name, text, decimal_comma=comma) for name, text in plain.items()}
    if faults_of(book, table, written):  # should a mark not be what it looks like, it stays as it was typed
        written = dict(cells)
    return NewRow(table=table, cells=written, row=_read(book, table, written, Findings()))


def _plain_cells(row: TableRow, book: PriceBook) -> Cells:
    """Return date and price as all programs read them: `2026-10-02`, and `12.50` for `$12.5` if that loses nothing."""
    match row:
        case SpreadRate():
            return {}
        case LabourRate():
            name, price, currency = "per_hour", row.per_hour, book.shop.currency
        case _:
            name, price, currency = "price", row.price, book.suppliers.currency_of(row.supplier)
    text, is_exact = price_text(Fraction(price), currency)
    return {"date": row.day.isoformat(), **({name: text} if is_exact else {})}


def _decimal_comma(book: PriceBook, table: str) -> bool:
    former = book.formers[table]
    return former is not None and has_decimal_comma(former)


def _read(book: PriceBook, table: str, cells: Cells, findings: Findings) -> TableRow:
    comma = _decimal_comma(book, table)
    row = Fields(texts=dict(cells), origin=Origin(file=f"{table}.csv"), findings=findings, decimal_comma=comma)
    match table:
        case "lumber":
            return lumber_price(row, book.shop.unit, book.suppliers)
        case "hardware":
            return hardware_price(row, book.shop.unit, book.suppliers)
        case "finishes":
            return finish_price(row, book.suppliers)
        case "consumables":
            return consumable_price(row, book.suppliers)
        case "labour_rates":
            return labour_rate(row, book.shop.currency)
        case _:
            return spread_rate(row)


def is_random_length(text: str) -> bool:
    """Whether a length of a board says that it comes in any."""
    return text.lower() in RANDOM_LENGTH


def there_already(book: PriceBook, table: str, cells: Cells, others: Iterable[NewRow]) -> TableRow | None:
    """Return the row of a table, or of the others to be added, that has a price of the same item already.

    All cells that tell the item from others must be there; its price may be missing yet.
    """
    wanted = _key(_read(book, table, cells, Findings()))
    rows = (*_rows_of(book, table), *(one.row for one in others if one.table == table))
    return next((row for row in rows if _key(row) == wanted), None)


def _rows_of(book: PriceBook, table: str) -> Sequence[TableRow]:
    tables = book.tables
    found: Mapping[str, Sequence[TableRow]] = {
        "lumber": tables.lumber,
        "hardware": tables.hardware,
        "finishes": tables.finishes,
        "consumables": tables.consumables,
        "labour_rates": tables.labour_rates,
        "spread_rates": tables.spread_rates,
    }
    return found[table]


def _key(row: TableRow) -> Hashable:
    match row:
        case LabourRate():
            return name_key(row.name)
        case SpreadRate():
            return name_key(row.product), row.texture, row.coat
        case _:
            return name_key(row.supplier), row.item_key, row.from_quantity


def write_rows(book: PriceBook, rows: Sequence[NewRow]) -> tuple[Path, ...]:
    """Write rows into their tables and new prices into the history; return the tables that were written.

    Raises EstimatorError where a file cannot be written; all of them are then as they were, but for `.before` copies.
    """
    tables = [table for table in TABLES if any(one.table == table for one in rows)]
    contents = {
        table: with_rows(book.formers[table], table, [one.cells for one in rows if one.table == table])
        for table in tables
    }
    history = book.tables.folder / HISTORY_FILE
    history_before = history.read_bytes() if history.exists() else None
    entered = history_with(history, [entry for table in tables for entry in _entries(book, table, rows, contents)])
    changes = [(book.path(table), book.formers[table], contents[table]) for table in tables]
    if entered is not None:
        changes.insert(0, (history, history_before, entered))
    for path, former, _ in changes:
        check_replaceable(path, former)
    for table in tables:
        keep_former(book.path(table), book.formers[table])
    _write_all(changes)
    return tuple(map(book.path, tables))


def _entries(
    book: PriceBook, table: str, rows: Sequence[NewRow], contents: Mapping[str, bytes]
) -> list[dict[str, str]]:
    """Return what the history enters of the new prices of one table; it knows prices of suppliers only."""
    if table not in SOLD:
        return []
    added = [one.row for one in rows if one.table == table]
    first_line = len(lines_of(contents[table])) - len(added) + 1
    return [
        {
            "day": row.day.isoformat(),
            "table": table,
            "supplier": row.supplier,
            "item": item_words(row, book.shop.unit),
            "old_price": "",
            "new_price": entered_price(row.price, book.suppliers.currency_of(row.supplier)),
            "per": sold_per(row),
            "source": f"{table}.csv:{line}",
        }
        for line, row in enumerate(added, start=first_line)
        if not isinstance(row, LabourRate | SpreadRate)
    ]


def _write_all(changes: Sequence[tuple[Path, bytes | None, bytes]]) -> None:
    """Write files one after the other; where one fails, those before it get their former content back."""
    begun: list[tuple[Path, bytes | None]] = []
    try:
        for path, former, content in changes:
            begun.append((path, former))
            write_whole(path, content, replace=True)
    except BaseException:
        for path, former in begun:
            with suppress(EstimatorError, OSError):  # what stopped the writing is told, and it comes first
                _restore(path, former)
        raise


def _restore(path: Path, former: bytes | None) -> None:
    if former is None:
        path.unlink(missing_ok=True)
    elif path.read_bytes() != former:
        write_whole(path, former, replace=True)
