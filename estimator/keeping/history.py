"""What an item has cost over time: what is entered in the price history, and the prices of today's tables after it."""

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path

from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.changes import Change
from estimator.keeping.history_entries import HISTORY_COLUMNS, entered_price
from estimator.keeping.price_measures import measured_by, times_between
from estimator.keeping.written_numbers import PRICE_PLACES
from estimator.money import Currency, rounded
from estimator.reading.fields import HIGHEST_PRICE, Fields, name_key, nearest
from estimator.reading.lists import each_row, shown_path
from estimator.reading.sold import SOLD, SoldPrice
from estimator.units import parse_number

ItemKey = tuple[str, str, str]
HIGHEST = 100 * HIGHEST_PRICE  # in the small units of some currencies
LABOUR_TABLE = "labour_rates"
TABLES = (*SOLD, LABOUR_TABLE)  # whose prices are entered


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceChange:
    """A price that was new on a day, None where the supplier had the item no more; `table` is what it stands in.

    `sold` is its row in the tables of today. `written` is what was entered where the price is worked out from that.
    """

    origin: Origin
    day: date
    table: str
    supplier: str
    item: str
    per: str
    price: Decimal | None
    source: str
    sold: SoldPrice | None = None
    written: "PriceChange | None" = None

    @property
    def key(self) -> ItemKey:
        """What tells apart the items of all suppliers."""
        return item_key(self.table, self.supplier, self.item, self.per)

    def cells(self, change: Change, currency: Currency, *, day: date | None = None) -> dict[str, str]:
        """Return it as a row of the history: what a change makes of the item's price, on its own day or another."""
        return {
            "day": (day or self.day).isoformat(),
            "table": self.table,
            "supplier": self.supplier,
            "item": self.item,
            "old_price": entered_price(change.old_price, currency),
            "new_price": entered_price(change.new_price, currency),
            "per": self.per,
            "source": self.source,
        }


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemHistory:
    """All prices of one supplier's item, in the order of the days they held from, one a day, all per the same."""

    supplier: str
    item: str
    per: str
    changes: tuple[PriceChange, ...]


def item_key(table: str, supplier: str, item: str, per: str) -> ItemKey:
    """Return what tells apart the items of all suppliers: no measure but that of random lengths, and no shop's name."""
    return "" if table == LABOUR_TABLE else name_key(supplier), name_key(item), measured_by(item, per)


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
    present = tuple(present)
    items = dict.fromkeys(one.item for one in (*entered, *present))
    named = _named(words, items)
    if not named:
        message = f'knows no item with "{words}" in its name{nearest(words, items)}'
        raise EstimatorError.single(shown_path(folder), message, "name some of its words")
    found = [one for one in entered if one.item in named]
    last = last_entries(found)
    now = {one.key: one for one in present if one.item in named}
    found += [held_from(one, last.get(key), today) for key, one in now.items() if _goes_behind(one, last, today)]
    return _by_item(found, now, today)


def _named(words: str, items: Iterable[str]) -> frozenset[str]:
    """Return the items whose names hold all the words, or words that begin with them where none holds them whole."""
    wanted = _words(words)
    words_of = {item: _words(item) for item in items}
    whole = frozenset(item for item, own in words_of.items() if wanted <= own)
    return whole or frozenset(item for item, own in words_of.items() if _begin_words(wanted, own))


def _begin_words(beginnings: Iterable[str], words: Iterable[str]) -> bool:
    return all(any(word.startswith(beginning) for word in words) for beginning in beginnings)


def _goes_behind(present: PriceChange, entered: Mapping[ItemKey, PriceChange], today: date) -> bool:
    """Whether a price of the tables is to follow its last entry: another price, or its day to come is mended."""
    last = entered.get(present.key)
    return is_new(present, last) or (last is not None and present.day < last.day and today < last.day)


def last_entries(entered: Iterable[PriceChange]) -> dict[ItemKey, PriceChange]:
    """Return the last entry of each item; the order of the rows counts, as an old list may be taken over late."""
    return {one.key: one for one in entered}


def is_new(present: PriceChange, last: PriceChange | None) -> bool:
    """Whether a price differs from the one entered last."""
    return last is None or present.price is None or entered_before(last, present) != Fraction(present.price)


def entered_before(last: PriceChange | None, present: PriceChange) -> Fraction | None:
    """Return the price entered last, worked out per what the present one is; None where there is none."""
    if last is None or last.price is None:
        return None
    times = times_between(last.per, present.per, present.sold)
    return None if times is None else Fraction(last.price) * times


def held_from(present: PriceChange, last: PriceChange | None, today: date) -> PriceChange:
    """Return a price with the day it is taken to hold from: its own, or today where its date was left as it was."""
    return replace(present, day=today) if keeps_its_date(present, last, today) else present


def keeps_its_date(present: PriceChange, last: PriceChange | None, today: date) -> bool:
    """Whether a price changed and the date beside it did not; an earlier one than a day to come is that day mended."""
    return last is not None and is_new(present, last) and present.day <= last.day <= today


def _words(name: str) -> set[str]:
    return set(name_key(name.replace(",", " ")).split())


def _change(row: Fields) -> PriceChange:
    if row.has("old_price"):
        # Only read for its faults, as the entry before it has that price too; one worked out per less may come to 0.00.
        _price(row, "old_price", may_be_zero=True)
    return PriceChange(
        origin=row.origin,
        day=row.day("day"),
        table=row.choice("table", TABLES, blank=""),
        supplier=row.text("supplier"),
        item=row.text("item"),
        per=row.text("per", blank=""),
        price=_price(row, "new_price") if row.has("new_price") else None,
        source=row.text("source", blank=""),
    )


def _price(row: Fields, name: str, *, may_be_zero: bool = False) -> Decimal:
    parse = partial(_parse_price, decimal_comma=row.decimal_comma, may_be_zero=may_be_zero)
    return row.read(name, parse, Decimal(1))


@lru_cache(maxsize=65_536)  # a long history has the same prices over and over: a fifth of its reading
def _parse_price(text: str, *, decimal_comma: bool, may_be_zero: bool) -> Decimal:
    price = parse_number(text, decimal_comma=decimal_comma)
    if not 0 <= price <= HIGHEST or not (price or may_be_zero):
        bounds = f"from 0 to {HIGHEST}" if may_be_zero else f"above 0, up to {HIGHEST}"
        raise ValueError(f'"{text}" is out of range; write a number {bounds}')
    return Decimal(price.numerator) / Decimal(price.denominator)  # exact: the text was a decimal


def _by_item(
    changes: Iterable[PriceChange], now: Mapping[ItemKey, PriceChange], today: date
) -> tuple[ItemHistory, ...]:
    groups: dict[ItemKey, list[PriceChange]] = {}
    for change in changes:
        groups.setdefault(change.key, []).append(change)
    return tuple(
        ItemHistory(supplier=some[-1].supplier, item=some[-1].item, per=some[-1].per, changes=_one_a_day(some))
        for key, group in groups.items()
        for some in _in_one_measure(_without_mended_days(group, today), now.get(key, group[-1]))
    )


def _without_mended_days(changes: Sequence[PriceChange], today: date) -> list[PriceChange]:
    """Return the changes but those of a day to come that are followed by one of an earlier day.

    A list was dated wrongly then, and taken again with its right date; it held on no day that the wrong one names.
    """
    kept: list[PriceChange] = []
    earliest_behind = date.max
    for change in reversed(changes):
        if change.day <= max(today, earliest_behind):
            kept.append(change)
        earliest_behind = min(earliest_behind, change.day)
    return kept[::-1]


def _in_one_measure(group: Iterable[PriceChange], last: PriceChange) -> Iterable[list[PriceChange]]:
    """Return an item's prices per what the last one is; what cannot be worked out stands apart, by its measure."""
    by_measure: dict[str, list[PriceChange]] = {}
    for change in group:
        times = times_between(change.per, last.per, last.sold)
        worked_out = change if times is None or change.per == last.per else _worked_out(change, last.per, times)
        by_measure.setdefault(name_key(worked_out.per), []).append(worked_out)
    return by_measure.values()


def _worked_out(change: PriceChange, per: str, times: Fraction) -> PriceChange:
    if change.price is None or times == 1:
        return replace(change, per=per)
    return replace(change, per=per, price=rounded(Fraction(change.price) * times, PRICE_PLACES), written=change)


def _one_a_day(changes: Iterable[PriceChange]) -> tuple[PriceChange, ...]:
    """Return the changes in the order of their days; of two on one day the later one counts."""
    return tuple(sorted({one.day: one for one in changes}.values(), key=lambda one: one.day))


def shown_price(price: Decimal, currency: Currency) -> str:
    """Return a price for people: `$1,234.50`, finer than the coin where it is finer."""
    return f"{currency.symbol}{Decimal(entered_price(price, currency)):,f}"
