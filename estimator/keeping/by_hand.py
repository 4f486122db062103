"""Prices changed by hand: those in the tables that are not what was last entered in the history, and entering them.

A list taken over enters its changes itself. All rows of all tables are compared with the last entry of their item, so
it makes no difference with what program, in which table and in how many steps they were changed.
"""

import re
from collections import Counter
from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path, PurePath

from estimator.errors import Findings
from estimator.keeping.changes import Change, Changes, item_words, rise, sold_per
from estimator.keeping.history import (
    LABOUR_TABLE,
    ItemKey,
    PriceChange,
    entered_before,
    held_from,
    is_new,
    item_key,
    keeps_its_date,
    last_entries,
    read_history,
    shown_price,
)
from estimator.keeping.history_entries import HISTORY_FILE, history_with
from estimator.keeping.written_numbers import PRICE_PLACES
from estimator.money import rounded
from estimator.reading.fields import name_key
from estimator.reading.prices import LabourRate, PriceTables
from estimator.reading.shop import Shop
from estimator.reading.sold import SOLD, SoldPrice
from estimator.reading.suppliers import Suppliers, read_suppliers
from estimator.whole_files import write_whole

PricedRow = SoldPrice | LabourRate


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangedByHand:
    """What changed in the tables since the last entries; what did not is left out.

    `entries` are what goes into the history, by the keys of the changes. `first_tables` are the files of which most
    prices were never entered, as the first time. `suppliers` say in what currency a price is.
    """

    history: Path
    changes: Changes
    entries: Mapping[Hashable, PriceChange]
    suppliers: Suppliers
    first_tables: frozenset[str]

    def is_first(self, change: Change) -> bool:
        """Whether a price is new because its whole table is."""
        return change.old_price is None and self.entries[change.key].origin.file in self.first_tables

    def enter(self, changes: Collection[Change]) -> None:
        """Enter changes in the history. Raises EstimatorError where it cannot be written; it is then as it was."""
        entered = history_with(self.history, [self._row(one) for one in changes]) if changes else None
        if entered is not None:
            write_whole(self.history, entered, replace=True)

    def prices(self, change: Change) -> tuple[str, str]:
        """Return the old and the new price for people, nothing for none."""
        currency = self.suppliers.currency_of(self.entries[change.key].supplier)
        old, new = change.old_price, change.new_price
        return shown_price(old, currency) if old else "", shown_price(new, currency) if new else ""

    def _row(self, change: Change) -> dict[str, str]:
        entry = self.entries[change.key]
        return entry.cells(change, self.suppliers.currency_of(entry.supplier))


def changes_by_hand(shop: Shop, tables: PriceTables, today: date, findings: Findings) -> ChangedByHand:
    """Return what changed in the tables by hand; nothing where there are faults, for they must be mended first.

    A price whose date was left as it was counts from today, with a notice.
    """
    history = tables.folder / HISTORY_FILE
    entered = read_history(history, findings)
    last, rows_of = ({}, {}) if findings.faults else (last_entries(entered), _rows_of(tables))
    now = _Present(last, rows_of, shop)
    changed = {key: row for key, row in now.unlike.items() if is_new(row, last.get(key))}
    repriced = [(row, last[key]) for key, row in changed.items() if key in last and last[key].price]
    _tell_of_dates_left([row for row, before in repriced if keeps_its_date(row, before, today)], today, findings)
    rows = {key: held_from(row, last.get(key), today) for key, row in changed.items()}
    rows |= _gone(last, now, today)
    changes = [_change(last.get(key), row, key, shop.jump_percent) for key, row in rows.items()]
    priced = [one for one in changes if one.percent is not None]
    return ChangedByHand(
        history=history,
        changes=Changes(
            new=tuple(one for one in changes if one.percent is None and one.new_price),
            gone=tuple(one for one in changes if not one.new_price),
            up=tuple(one for one in priced if rise(one) > 0),
            down=tuple(one for one in priced if rise(one) < 0),
        ),
        entries=dict[Hashable, PriceChange](rows.items()),
        suppliers=read_suppliers(tables.folder, shop.currency, Findings()),  # its faults are those of every quote
        first_tables=now.first_tables(last),
    )


def present_prices(tables: PriceTables, shop: Shop) -> Iterator[PriceChange]:
    """Yield all prices of the tables as the history has them: the item in words, the price to its places.

    Tables without faults, please: an item without its length has no words.
    """
    for table, rows in _rows_of(tables).items():
        for row in rows:
            yield _price_of(row, table, *_words_of(row, shop))


def _rows_of(tables: PriceTables) -> dict[str, Sequence[PricedRow]]:
    rows = (tables.lumber, tables.hardware, tables.finishes, tables.consumables, tables.labour_rates)
    return dict(zip((*SOLD, LABOUR_TABLE), rows, strict=True))


def _words_of(row: PricedRow, shop: Shop) -> tuple[str, str, str]:
    """Return supplier, item and what its price is per, as the history has them; hours are paid by the shop."""
    if isinstance(row, LabourRate):
        return shop.name, f"labour rate {row.name}", "hour"
    return row.supplier, item_words(row, shop.unit), sold_per(row)


def _price_of(row: PricedRow, table: str, supplier: str, item: str, per: str) -> PriceChange:
    return PriceChange(
        origin=row.origin,
        day=row.day,
        table=table,
        supplier=supplier,
        item=item,
        per=per,
        price=rounded(_price(row), PRICE_PLACES),
        source=f"{_file_name(row.origin.file)}:{row.origin.line}",
        sold=None if isinstance(row, LabourRate) else row,
    )


class _Present:
    """What the tables have today: the keys of all, and the prices that differ from the last entries.

    In a long table next to nothing changes, so only what does is made into a price of the history.
    """

    def __init__(
        self, last: Mapping[ItemKey, PriceChange], rows_of: Mapping[str, Sequence[PricedRow]], shop: Shop
    ) -> None:
        self.keys: set[ItemKey] = set()
        self.unlike: dict[ItemKey, PriceChange] = {}
        self.rows_of = rows_of
        for table, rows in rows_of.items():
            for row in rows:
                supplier, item, per = _words_of(row, shop)
                key = item_key(table, supplier, item, per)
                self.keys.add(key)
                self.unlike.pop(key, None)
                entry = last.get(key)
                if entry is None or entry.per != per or entry.price != _price(row):
                    self.unlike[key] = _price_of(row, table, supplier, item, per)

    def first_tables(self, last: Collection[ItemKey]) -> frozenset[str]:
        """Return the files of which more prices were never entered than were."""
        rows = Counter(row.origin.file for rows in self.rows_of.values() for row in rows)
        never_entered = Counter(row.origin.file for key, row in self.unlike.items() if key not in last)
        return frozenset(file for file, count in never_entered.items() if 2 * count > rows[file])

    def files(self) -> dict[tuple[str, str], str]:
        """Return the file that each supplier's goods of a table are in; of several the last."""
        rows = ((table, row) for table, rows in self.rows_of.items() for row in rows if not isinstance(row, LabourRate))
        return {(table, name_key(row.supplier)): _file_name(row.origin.file) for table, row in rows}


def _price(row: PricedRow) -> Decimal:
    return row.per_hour if isinstance(row, LabourRate) else row.price


@lru_cache(maxsize=64)  # a long table names its one file over and over
def _file_name(path: str) -> str:
    return PurePath(path).name


def _gone(last: Mapping[ItemKey, PriceChange], now: _Present, today: date) -> dict[ItemKey, PriceChange]:
    """Return what no table has of its supplier any more, with no price and the table it was in."""
    gone = {key: row for key, row in last.items() if row.price is not None and key not in now.keys}
    files = now.files() if gone else {}
    return {key: replace(row, day=today, price=None, source=_table_of(row, files)) for key, row in gone.items()}


def _table_of(entry: PriceChange, files: Mapping[tuple[str, str], str]) -> str:
    """Return the table an item was in: the one its entry names, or else that of its supplier's other goods."""
    by_hand = re.fullmatch(rf"({re.escape(entry.table)}(?:-.*)?\.csv):\d+", entry.source)
    return by_hand[1] if by_hand else files.get((entry.table, name_key(entry.supplier)), f"{entry.table}.csv")


def _tell_of_dates_left(rows: Sequence[PriceChange], today: date, findings: Findings) -> None:
    """Note for each file, at the first of them, that prices changed whose dates were left as they were."""
    for file in dict.fromkeys(row.origin.file for row in rows):
        some = [row for row in rows if row.origin.file == file]
        if len(some) == 1:
            told, remedy = f"the price changed and its date did not, so it counts from {today} on", "the day it holds"
        else:
            told = (
                f"{len(some):,} prices changed and their dates did not, this one first, so they count from {today} on"
            )
            remedy = "the day each holds"
        findings.notice(some[0].origin, f"{told}; write {remedy} from under date")


def _change(before: PriceChange | None, now: PriceChange, key: Hashable, jump_percent: Decimal) -> Change:
    """Return the change from the last entry of an item; without a price on both sides it has no percent."""
    old, new = entered_before(before, now), now.price
    percent = (Fraction(new) / old - 1) * 100 if old and new else None
    return Change(
        key=key,
        item=now.item,
        per=now.per,
        old_price=None if old is None else rounded(old, PRICE_PLACES).normalize(),
        new_price=new,
        percent=percent if percent is None else rounded(percent, 1),
        jump=percent is not None and abs(percent) > Fraction(jump_percent),
    )
