"""What an item has cost over time: what is entered in the price history, and the prices of today's tables after it."""

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path

from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.history_entries import HISTORY_COLUMNS
from estimator.reading.fields import HIGHEST_PRICE, Fields, name_key, nearest
from estimator.reading.lists import each_row, shown_path

ItemKey = tuple[str, str, str]
HIGHEST = 100 * HIGHEST_PRICE  # in the small units of some currencies


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceChange:
    """A price that was new on a day, None where the supplier had the item no more; `table` is what it stands in."""

    origin: Origin
    day: date
    table: str
    supplier: str
    item: str
    per: str
    price: Decimal | None
    source: str

    @property
    def key(self) -> ItemKey:
        """What tells apart the items of all suppliers."""
        return name_key(self.supplier), name_key(self.item), name_key(self.per)


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemHistory:
    """All prices of one supplier's item, in the order of the days they held from."""

    supplier: str
    item: str
    per: str
    changes: tuple[PriceChange, ...]


def read_history(path: Path, findings: Findings) -> tuple[PriceChange, ...]:
    """Return what is entered in a price history, nothing where there is none; faults go to `findings`."""
    there = os.path.exists(path)  # noqa: PTH110 - Path raises where a folder's name is too long for any
    return tuple(_change(row) for row in each_row(path, HISTORY_COLUMNS, findings)) if there else ()


def price_histories(
    entered: Sequence[PriceChange], present: Iterable[PriceChange], words: str, folder: Path, today: date
) -> tuple[ItemHistory, ...]:
    """Return the history of each item whose name holds all the words, those entered first.

    `present` are the prices as they stand in the tables now; they go behind those entered where they differ from them.
    Raises EstimatorError where no item of the folder has such a name.
    """
    wanted, present = _words(words), tuple(present)
    found = [one for one in entered if wanted <= _words(one.item)]
    last = last_entries(found)
    now = [one for one in present if wanted <= _words(one.item)]
    found += [held_from(one, last.get(one.key), today) for one in now if is_new(one, last.get(one.key))]
    if not found:
        hint = nearest(words, dict.fromkeys(one.item for one in (*entered, *present)))
        message = f'knows no item with "{words}" in its name{hint}'
        raise EstimatorError.single(shown_path(folder), message, "name some of its words")
    return _by_item(found)


def last_entries(entered: Iterable[PriceChange]) -> dict[ItemKey, PriceChange]:
    """Return the last entry of each item; the order of the rows counts, as an old list may be taken over late."""
    return {one.key: one for one in entered}


def is_new(present: PriceChange, last: PriceChange | None) -> bool:
    """Whether a price differs from the one entered last."""
    return last is None or last.price != present.price


def held_from(present: PriceChange, last: PriceChange | None, today: date) -> PriceChange:
    """Return a price with the day it is taken to hold from: its own, or today where its date was left as it was."""
    return replace(present, day=max(today, last.day)) if last and keeps_its_date(present, last) else present


def keeps_its_date(present: PriceChange, last: PriceChange | None) -> bool:
    """Whether a price changed and the date beside it did not."""
    return last is not None and is_new(present, last) and present.day <= last.day


def _words(name: str) -> set[str]:
    return set(name_key(name.replace(",", " ")).split())


def _change(row: Fields) -> PriceChange:
    return PriceChange(
        origin=row.origin,
        day=row.day("day"),
        table=row.text("table", blank=""),
        supplier=row.text("supplier"),
        item=row.text("item"),
        per=row.text("per", blank=""),
        price=row.number("new_price", above=True, high=HIGHEST) if row.has("new_price") else None,
        source=row.text("source", blank=""),
    )


def _by_item(changes: Iterable[PriceChange]) -> tuple[ItemHistory, ...]:
    groups: dict[ItemKey, list[PriceChange]] = {}
    for change in changes:
        groups.setdefault(change.key, []).append(change)
    return tuple(
        ItemHistory(
            supplier=group[0].supplier,
            item=group[0].item,
            per=group[0].per,
            changes=tuple(sorted(group, key=lambda one: one.day)),
        )
        for group in groups.values()
    )
