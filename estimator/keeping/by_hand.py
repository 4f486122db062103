"""Prices in the tables kept by hand: what changed since they were last entered in the history, and entering it.

A list taken over enters its changes itself. Tables kept by hand are compared with the last entry of each of their
items, so it makes no difference with what program and in how many steps they were changed.
"""

import re
from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path, PurePath

from estimator.errors import Findings
from estimator.keeping.changes import Change, Changes, item_words, rise, sold_per
from estimator.keeping.history import PriceChange, held_from, keeps_its_date, last_entries, read_history
from estimator.keeping.history_entries import HISTORY_FILE, entered_price, history_with
from estimator.money import rounded
from estimator.reading.prices import PriceTables
from estimator.reading.shop import Shop
from estimator.reading.sold import SOLD, SoldPrice
from estimator.reading.suppliers import Suppliers, read_suppliers
from estimator.whole_files import write_whole


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangedByHand:
    """What changed in the tables kept by hand since the last entries.

    `entries` are what goes into the history, by the keys of the changes. `is_first` says that most prices were never
    entered, as the first time. `suppliers` say in what currency a price is.
    """

    history: Path
    changes: Changes
    entries: Mapping[Hashable, PriceChange]
    suppliers: Suppliers
    is_first: bool

    def enter(self, changes: Collection[Change]) -> None:
        """Enter changes in the history. Raises EstimatorError where it cannot be written; it is then as it was."""
        entered = history_with(self.history, [self._row(one) for one in changes]) if changes else None
        if entered is not None:
            write_whole(self.history, entered, replace=True)

    def prices(self, change: Change) -> tuple[str, str]:
        """Return the old and the new price for people, nothing for none."""
        currency = self.suppliers.currency_of(self.entries[change.key].supplier)
        old, new = (entered_price(price, currency) for price in (change.old_price, change.new_price))
        return f"{currency.symbol}{old}" if old else "", f"{currency.symbol}{new}" if new else ""

    def _row(self, change: Change) -> dict[str, str]:
        entry = self.entries[change.key]
        currency = self.suppliers.currency_of(entry.supplier)
        return {
            "day": entry.day.isoformat(),
            "table": entry.table,
            "supplier": entry.supplier,
            "item": entry.item,
            "old_price": entered_price(change.old_price, currency),
            "new_price": entered_price(change.new_price, currency),
            "per": entry.per,
            "source": entry.source,
        }


def changes_by_hand(shop: Shop, tables: PriceTables, today: date, findings: Findings) -> ChangedByHand:
    """Return what changed in the tables kept by hand; nothing where there are faults, for they must be mended first.

    A price whose date was left as it was counts from today, with a notice.
    """
    history = tables.folder / HISTORY_FILE
    entered = read_history(history, findings)
    entered, now = ((), ()) if findings.faults else (entered, prices_by_hand(tables, shop))
    last, present = last_entries(entered), {row.key: row for row in now}
    _tell_of_dates_left([row for key, row in present.items() if keeps_its_date(row, last.get(key))], today, findings)
    rows = [held_from(row, last.get(key), today) for key, row in present.items()]
    rows += [_as_gone(row, today) for key, row in last.items() if _by_hand(row) and row.price and key not in present]
    changes = [_change(last.get(row.key), row, shop.jump_percent) for row in rows]
    priced = [one for one in changes if one.percent is not None]
    return ChangedByHand(
        history=history,
        changes=Changes(
            new=tuple(one for one in changes if one.percent is None and one.new_price),
            gone=tuple(one for one in changes if not one.new_price),
            up=tuple(one for one in priced if rise(one) > 0),
            down=tuple(one for one in priced if rise(one) < 0),
            same=tuple(one for one in priced if rise(one) == 0),
        ),
        entries={row.key: row for row in rows},
        suppliers=read_suppliers(tables.folder, shop.currency, Findings()),  # its faults are those of every quote
        is_first=2 * sum(key not in last for key in present) > len(present),
    )


def prices_by_hand(tables: PriceTables, shop: Shop) -> Iterator[PriceChange]:
    """Yield the prices of the tables kept by hand as the history has them: the item in words, the price to its places.

    Tables without faults, please: an item without its length has no words.
    """
    sold: tuple[tuple[SoldPrice, ...], ...] = (tables.lumber, tables.hardware, tables.finishes, tables.consumables)
    for table, rows in zip(SOLD, sold, strict=True):
        for row in rows:
            name = PurePath(row.origin.file).name
            if name == f"{table}.csv":
                currency = row.seller.currency if row.seller else shop.currency
                yield PriceChange(
                    origin=row.origin,
                    day=row.day,
                    table=table,
                    supplier=row.supplier,
                    item=item_words(row, shop.unit),
                    per=sold_per(row),
                    price=Decimal(entered_price(row.price, currency)),
                    source=f"{name}:{row.origin.line}",
                )


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


def _by_hand(entry: PriceChange) -> bool:
    """Whether an entry came from a table kept by hand; those from lists name the list without a line."""
    return re.fullmatch(rf"{re.escape(entry.table)}\.csv:\d+", entry.source) is not None


def _as_gone(entry: PriceChange, today: date) -> PriceChange:
    return replace(entry, day=max(today, entry.day), price=None, source=f"{entry.table}.csv")


def _change(before: PriceChange | None, now: PriceChange, jump_percent: Decimal) -> Change:
    """Return the change from the last entry of an item; without a price on both sides it has no percent."""
    old, new = before.price if before else None, now.price
    percent = (Fraction(new) / Fraction(old) - 1) * 100 if old and new else None
    return Change(
        key=now.key,
        item=now.item,
        per=now.per,
        old_price=old,
        new_price=new,
        percent=percent if percent is None else rounded(percent, 1),
        jump=percent is not None and abs(percent) > Fraction(jump_percent),
    )
