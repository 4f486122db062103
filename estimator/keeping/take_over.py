"""A supplier's list taken over: read through its map, compared with the one before, written whole or refused.

Whatever speaks against the list refuses all of it, and no file is touched. What is written goes in an order that no
failure spoils: the former table is kept, the changes are entered in the history, the new table takes its name.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import EstimatorError, Fault, Findings, Origin
from estimator.keeping.changes import Changes, compared, price_key
from estimator.keeping.former_tables import check_replaceable, keep_former, kept_path
from estimator.keeping.history import PriceChange, last_entries, read_history
from estimator.keeping.history_entries import HISTORY_FILE, Cells, history_with
from estimator.keeping.list_checks import (
    check_days,
    check_kept_by_hand,
    check_length,
    check_supplier,
    priced_once,
    table_rows,
    tell_of_dates_left,
)
from estimator.keeping.mapped import MappedRow, mapped_rows, taken_columns
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import SupplierMap
from estimator.money import Currency
from estimator.reading.list_changes import new_list
from estimator.reading.shop import Shop
from estimator.reading.sold import TAKEN_FROM, SoldPrice, read_sold
from estimator.reading.suppliers import Suppliers, read_suppliers
from estimator.whole_files import write_whole


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeOver:
    """A list as it would be taken over; `faults` are why it is refused.

    `path` is the table it becomes, `day` that of the list: of its map, or else the newest of its rows. `unit` is what a
    bare length means in both. `former` is the file of the table as it was read, None where there is none. `entries` are
    what the history gets for all that changes, by the keys of the changes.
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
    entries: Mapping[Hashable, Cells]
    faults: tuple[Fault, ...]

    @property
    def last_day(self) -> date:
        """The latest day that a price is dated, that of the list where it has none."""
        return max((row.sold.day for row in self.rows), default=self.day)

    @property
    def has_newest_day(self) -> bool:
        """Whether the day of the list is that of its newest row, for its map has none."""
        return self.map_.day is None and any(row.has_own_day for row in self.rows)

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

    def changes_table(self, *, jumps: bool) -> bool:
        """Whether the table becomes another; where it does not, the former one kept beside it stays what it is too."""
        return self._table(self._left(jumps=jumps)) != self.former

    def write(self, *, jumps: bool = False) -> None:
        """Write the table and enter the changes; rows whose price jumps stay as they were unless jumps go in too.

        Nothing is written where the table stays as it is. Raises EstimatorError where the list is refused or a file
        cannot be written; the table is then as it was.
        """
        if self.faults:
            raise EstimatorError(self.faults)
        left = self._left(jumps=jumps)
        table, history = self._table(left), self.path.with_name(HISTORY_FILE)
        if table == self.former:
            return
        entered = history_with(history, [entry for key, entry in self.entries.items() if key not in left])
        check_replaceable(self.path, self.former)
        keep_former(self.path, self.former)
        if entered is not None:
            write_whole(history, entered, replace=True)
        write_whole(self.path, table, replace=True)

    def _left(self, *, jumps: bool) -> set[Hashable]:
        return set() if jumps else {one.key for one in self.changes.jumps}

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
            (row, read_sold(table, row, self.unit, self.currency)) for row in table_rows(self.path, table, Findings())
        )
        return {key: row.texts for row, sold in rows if (key := price_key(sold)) in left}


def take_over(
    content: bytes,
    file_name: str,
    day: date,
    map_: SupplierMap,
    tables: Path,
    shop: Shop,
    findings: Findings,
    *,
    today: date | None = None,
) -> TakeOver:
    """Return a list as it would be taken over into a folder of price tables; nothing is written.

    `day` is that of the file, and of rows without a date where the map has none either; `today`, if it is another, is
    the day from which prices count that change under the date they had. What speaks against it goes to `findings` too.
    """
    found = Findings()
    path = tables / f"{map_.table}-{map_.name}.csv"
    suppliers = read_suppliers(tables, shop.currency, Findings())  # its faults are those of every quote, not of a list
    currency = suppliers.currency_of(map_.supplier)
    _check_terms(map_, suppliers, found)
    former = path.read_bytes() if path.exists() else None
    old = _former_rows(path, map_, shop, currency, found)
    rows = _rows(content, file_name, map_, found, day=day, unit=shop.unit, currency=currency)
    rows = priced_once(rows, shop.unit, Origin(file=file_name), found)
    check_kept_by_hand(rows, path, map_, shop, currency, found)
    entered = read_history(tables / HISTORY_FILE, found)
    changes = compared(old, (row.sold for row in rows), unit=shop.unit, jump_percent=shop.jump_percent)
    today = today or day
    if not found.faults:
        tell_of_dates_left(changes, rows, old, today, map_, Origin(file=file_name), found)
        check_length(rows, old, path, Origin(file=file_name), found)
        check_days(changes, rows, old, path, map_, Origin(file=file_name), found)
    findings.faults += found.faults
    findings.notices += found.notices
    day = map_.day or max((row.sold.day for row in rows if row.has_own_day), default=day)
    days = {price_key(row.sold): row.sold.day for row in rows}
    return TakeOver(
        path=path,
        map_=map_,
        source=file_name,
        day=day,
        currency=currency,
        unit=shop.unit,
        changes=changes,
        rows=rows,
        former=former,
        entries=_entries(changes, days, entered, day=day, today=today, map_=map_, source=file_name, currency=currency),
        faults=tuple(found.faults),
    )


def _entries(
    changes: Changes,
    days: Mapping[Hashable, date],
    entered: Sequence[PriceChange],
    *,
    day: date,
    today: date,
    map_: SupplierMap,
    source: str,
    currency: Currency,
) -> dict[Hashable, Cells]:
    """Return what the history gets for each change: a price on the day of its row, what is gone on that of the list.

    A price that stays and was entered for a day to come by mistake is entered again, on its right day.
    """
    last = last_entries(entered)
    same = {change.key: change for change in changes.same} if any(one.day > today for one in last.values()) else {}
    found: dict[Hashable, Cells] = {}
    for change in (*changes.new, *changes.up, *changes.down, *changes.gone, *same.values()):
        entry = PriceChange(
            origin=Origin(file=source),
            day=days.get(change.key, day),
            table=map_.table,
            supplier=map_.supplier,
            item=change.item,
            per=change.per,
            price=change.new_price,
            source=source,
        )
        before = last.get(entry.key)
        if change.key not in same or _is_early(entry, before, today):
            found[change.key] = entry.cells(change, currency, day=_day_entered(entry, before, today))
    return found


def _is_early(entry: PriceChange, before: PriceChange | None, today: date) -> bool:
    """Whether the last entry of an item is for a day to come, and this one for an earlier day."""
    return before is not None and before.day > today and entry.day < before.day


def _day_entered(entry: PriceChange, before: PriceChange | None, today: date) -> date:
    """Return the day of an entry: that of its row, or today where it would hide the one before it.

    So it is with a price that changed under its old date, and with what was gone and comes back with an older one. An
    entry for a day to come is no bar: it was a slip, or the list that mended it has the right day.
    """
    if before is None or before.day > today or entry.day > before.day:
        return entry.day
    return before.day if (before.price, before.per) == (entry.price, entry.per) else today


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
    """Return the rows of the table as it is; one that no list brought, or of another supplier, is a fault."""
    old = []
    for row in table_rows(path, map_.table, findings):
        old.append(read_sold(map_.table, row, shop.unit, currency))
        if not row.has(TAKEN_FROM.name):
            message = f"was taken from no list and would be lost; move this row to {map_.table}.csv"
            row.fault(TAKEN_FROM.name, message)
    check_supplier(old, path, map_, findings)
    return tuple(old)
