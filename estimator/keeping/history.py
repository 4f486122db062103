"""What an item has cost over time, as taken-over lists entered it in the price history."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.take_over import HISTORY_COLUMNS
from estimator.reading.fields import Fields, name_key, nearest
from estimator.reading.lists import each_row, shown_path


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceChange:
    """A row of the history: a price that was new on a day, None where the supplier had the item no more."""

    origin: Origin
    day: date
    supplier: str
    item: str
    per: str
    price: Decimal | None
    source: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemHistory:
    """All prices of one supplier's item, in the order of the days they held from."""

    supplier: str
    item: str
    per: str
    changes: tuple[PriceChange, ...]


def price_histories(path: Path, words: str) -> tuple[ItemHistory, ...]:
    """Return the history of each item whose name holds all the words, in the order of the file.

    Raises EstimatorError where the history cannot be read, or no item has such a name.
    """
    findings = Findings()
    rows = [_change(row) for row in each_row(path, HISTORY_COLUMNS, findings)]
    findings.raise_faults()
    wanted = _words(words)
    found = [row for row in rows if wanted <= _words(row.item)]
    if not found:
        hint = nearest(words, dict.fromkeys(row.item for row in rows))
        raise EstimatorError.single(
            shown_path(path), f'knows no item with "{words}" in its name{hint}', "name some of its words"
        )
    return _by_item(found)


def _words(name: str) -> set[str]:
    return set(name_key(name.replace(",", " ")).split())


def _change(row: Fields) -> PriceChange:
    return PriceChange(
        origin=row.origin,
        day=row.day("day"),
        supplier=row.text("supplier"),
        item=row.text("item"),
        per=row.text("per", blank=""),
        price=row.number("new_price", above=True) if row.has("new_price") else None,
        source=row.text("source", blank=""),
    )


def _by_item(changes: Iterable[PriceChange]) -> tuple[ItemHistory, ...]:
    groups: dict[tuple[str, str, str], list[PriceChange]] = {}
    for change in changes:
        groups.setdefault((name_key(change.supplier), name_key(change.item), name_key(change.per)), []).append(change)
    return tuple(
        ItemHistory(
            supplier=group[0].supplier,
            item=group[0].item,
            per=group[0].per,
            changes=tuple(sorted(group, key=lambda one: one.day)),
        )
        for group in groups.values()
    )
