"""A supplier's list taken over: read through its map, compared with the one before, written whole or refused.

Whatever speaks against the list refuses all of it, and no file is touched. What is written goes in an order that no
failure spoils: the former table is kept, the changes are entered in the history, the new table takes its name.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import EstimatorError, Fault, Findings, Origin
from estimator.keeping.changes import Change, Changes, compared, item_words, price_key
from estimator.keeping.former_tables import check_replaceable, keep_former, kept_path
from estimator.keeping.history_entries import HISTORY_FILE, Cells, entered_price, history_with
from estimator.keeping.mapped import MappedRow, mapped_rows, taken_columns
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import SupplierMap
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.list_changes import new_list
from estimator.reading.lists import each_row
from estimator.reading.prices import taken_over
from estimator.reading.shop import Shop
from estimator.reading.sold import TAKEN_FROM, SoldPrice, read_sold
from estimator.reading.suppliers import Suppliers, read_suppliers
from estimator.whole_files import write_whole


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeOver:
    """A list as it would be taken over; `faults` are why it is refused.

    `path` is the table it becomes, `day` that of the list, `unit` what a bare length means in both. `former` is the
    file of the table as it was read, None where there is none.
    """

    path: Path
    map_: SupplierMap
    source: str
    day: date
    currency: Currency
    unit: str
    changes: Changes
    rows: tuple[MappedRow, ...]
    former: bytes | None
    faults: tuple[Fault, ...]

    @property
    def is_safe(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.faults

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is refused."""
        return tuple(map(str, self.faults))

    @property
    def kept_path(self) -> Path:
        """Where the former table is kept."""
        return kept_path(self.path)

    def write(self, *, jumps: bool = False) -> None:
        """Write the table and enter the changes; rows whose price jumps stay as they were unless jumps go in too.

        Raises EstimatorError where the list is refused or a file cannot be written; the table is then as it was.
        """
        if self.faults:
            raise EstimatorError(self.faults)
        left = {one.key for one in self.changes.jumps} if not jumps else set()
        table, history = self._table(left), self.path.with_name(HISTORY_FILE)
        entered = history_with(history, self._entries(left))
        check_replaceable(self.path, self.former)
        keep_former(self.path, self.former)
        if entered is not None:
            write_whole(history, entered, replace=True)
        write_whole(self.path, table, replace=True)

    def _table(self, left: set[Hashable]) -> bytes:
        """Return the new table as a file, with the former rows of the prices that are left."""
        wanted = taken_columns(self.map_.table)
        names = [column.name for column in wanted]
        kept = self._former_cells(left) if left else {}
        rows: Iterable[Cells] = (dict(zip(names, row.cells, strict=True)) for row in self.rows)
        if kept:
            rows = (kept.get(price_key(row.sold), cells) for row, cells in zip(self.rows, rows, strict=True))
        return new_list(wanted, rows)

    def _former_cells(self, left: set[Hashable]) -> dict[Hashable, Cells]:
        table = self.map_.table
        rows = (
            (row, read_sold(table, row, self.unit, self.currency)) for row in _table_rows(self.path, table, Findings())
        )
        return {key: row.texts for row, sold in rows if (key := price_key(sold)) in left}

    def _entries(self, left: set[Hashable]) -> list[Cells]:
        """Return the rows of the history for all that changes."""
        changes = self.changes
        taken = (one for one in (*changes.new, *changes.up, *changes.down, *changes.gone) if one.key not in left)
        return [self._entry(one) for one in taken]

    def _entry(self, change: Change) -> Cells:
        return {
            "day": self.day.isoformat(),
            "table": self.map_.table,
            "supplier": self.map_.supplier,
            "item": change.item,
            "old_price": entered_price(change.old_price, self.currency),
            "new_price": entered_price(change.new_price, self.currency),
            "per": change.per,
            "source": self.source,
        }


def take_over(
    content: bytes, file_name: str, day: date, map_: SupplierMap, tables: Path, shop: Shop, findings: Findings
) -> TakeOver:
    """Return a list as it would be taken over into a folder of price tables; nothing is written.

    `day` is that of the list, and of its rows without a date where the map has none either. What speaks against it goes
    to `findings` too.
    """
    found = Findings()
    path = tables / f"{map_.table}-{map_.name}.csv"
    suppliers = read_suppliers(tables, shop.currency, Findings())  # its faults are those of every quote, not of a list
    currency = suppliers.currency_of(map_.supplier)
    _check_terms(map_, suppliers, found)
    former = path.read_bytes() if path.exists() else None
    old = _former_rows(path, map_, shop, currency, found)
    rows = _rows(content, file_name, map_, found, day=day, unit=shop.unit, currency=currency)
    _check_prices_differ(rows, path, map_, shop, currency, found)
    if not found.faults:
        _check_length(rows, old, path, Origin(file=file_name), found)
    findings.faults += found.faults
    findings.notices += found.notices
    return TakeOver(
        path=path,
        map_=map_,
        source=file_name,
        day=map_.day or day,
        currency=currency,
        unit=shop.unit,
        changes=compared(old, (row.sold for row in rows), unit=shop.unit, jump_percent=shop.jump_percent),
        rows=rows,
        former=former,
        faults=tuple(found.faults),
    )


def _rows(
    content: bytes, file_name: str, map_: SupplierMap, found: Findings, *, day: date, unit: str, currency: Currency
) -> tuple[MappedRow, ...]:
    sheet = open_sheet(content, file_name, found, sheet=map_.sheet, decimal=map_.decimal)
    if sheet is None:
        return ()
    rows = tuple(mapped_rows(sheet, map_, found, day=day, unit=unit, currency=currency))
    if not rows and not found.faults:
        found.fault(sheet.origin, "has no row of goods below its headings; ask for a list that has")
    return rows


def _check_terms(map_: SupplierMap, suppliers: Suppliers, findings: Findings) -> None:
    """Note tax or discount that would come off twice, in the map and again with the supplier's terms."""
    supplier = suppliers.named(map_.supplier)
    for name in ("tax_included_percent", "discount_percent"):
        if supplier and getattr(supplier, name) and getattr(map_, name):
            message = f'stands under "{supplier.name}" in {supplier.origin} too, and would come off twice; keep one'
            findings.fault(map_.origin, message, name)


def _former_rows(
    path: Path, map_: SupplierMap, shop: Shop, currency: Currency, findings: Findings
) -> tuple[SoldPrice, ...]:
    """Return the rows of the table as it is; one that no list brought is a fault."""
    old = []
    for row in _table_rows(path, map_.table, findings):
        old.append(read_sold(map_.table, row, shop.unit, currency))
        if not row.has(TAKEN_FROM.name):
            message = f"was taken from no list and would be lost; move this row to {map_.table}.csv"
            row.fault(TAKEN_FROM.name, message)
    return tuple(old)


def _table_rows(path: Path, table: str, findings: Findings) -> Iterable[Fields]:
    return each_row(path, taken_columns(table), findings) if path.exists() else ()


def _check_prices_differ(
    rows: Iterable[MappedRow], path: Path, map_: SupplierMap, shop: Shop, currency: Currency, findings: Findings
) -> None:
    """Note goods that the list prices twice, or that another table of the shop prices for the same supplier."""
    others = [one for one in (path.with_name(f"{map_.table}.csv"), *taken_over(path.parent, map_.table)) if one != path]
    first: dict[Hashable, SoldPrice] = {}
    for other in others:
        for row in _table_rows(other, map_.table, Findings()):
            if name_key(row.texts.get("supplier", "")) == name_key(map_.supplier):
                sold = read_sold(map_.table, row, shop.unit, currency)
                first.setdefault(price_key(sold), sold)
    for mapped in rows:
        sold = mapped.sold
        there = first.setdefault(price_key(sold), sold)
        if there is not sold:
            words = item_words(sold, shop.unit)
            remedy = (
                "map a column that tells them apart" if there.origin.file == sold.origin.file else "delete that row"
            )
            findings.fault(sold.origin, f"is a second price of {words}, beside {there.origin}; {remedy}")


def _check_length(
    rows: tuple[MappedRow, ...], old: tuple[SoldPrice, ...], path: Path, origin: Origin, findings: Findings
) -> None:
    """Note a list with less than half the rows of the last one: half a list looks like a whole one."""
    if 2 * len(rows) < len(old):
        remedy = f"ask for the whole list, or delete {path.name} if it is right"
        found = f"has {len(rows):,} row{'s' * (len(rows) > 1)} of goods"
        findings.fault(origin, f"{found}, and there were {len(old):,} the last time; {remedy}")
