"""What speaks against taking over a list as a whole: prices twice, prices kept by hand, older ones, half a list."""

from collections.abc import Hashable, Iterable
from datetime import date
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.keeping.changes import Changes, item_words, price_key, units_ratio
from estimator.keeping.mapped import MappedRow, taken_columns
from estimator.keeping.supplier_map import SupplierMap
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import each_row, shown_path
from estimator.reading.prices import taken_over
from estimator.reading.shop import Shop
from estimator.reading.sold import SoldPrice, read_sold

MOST_LINES = 20  # that a message names


def table_rows(path: Path, table: str, findings: Findings) -> Iterable[Fields]:
    """Return the rows of a table, none where it is not there."""
    return each_row(path, taken_columns(table), findings) if path.exists() else ()


def priced_once(rows: Iterable[MappedRow], unit: str, origin: Origin, findings: Findings) -> tuple[MappedRow, ...]:
    """Return the rows without those that say a price again; goods with two prices are a fault."""
    first: dict[Hashable, MappedRow] = {}
    again = []
    for row in rows:
        there, sold = first.setdefault(price_key(row.sold), row).sold, row.sold
        if there is sold:
            continue
        if Fraction(there.price) * units_ratio(there, sold) == sold.price:
            again.append(str(sold.origin.line))
        else:
            remedy = "map a column that tells them apart"
            words = item_words(sold, unit)
            findings.fault(sold.origin, f"is a second price of {words}, beside {there.origin}; {remedy}")
    if again:
        where = f"line {again[0]}" if len(again) == 1 else f"{len(again):,} rows, the first on line {again[0]}"
        findings.notice(origin, f"goods that stand there again at the same price are passed over ({where})")
    return tuple(first.values())


def check_kept_by_hand(
    rows: Iterable[MappedRow], path: Path, map_: SupplierMap, shop: Shop, currency: Currency, findings: Findings
) -> None:
    """Note goods of the list that another table of the shop prices for the same supplier, once for each table."""
    taken = {price_key(row.sold) for row in rows}
    others = [one for one in (path.with_name(f"{map_.table}.csv"), *taken_over(path.parent, map_.table)) if one != path]
    for other in others:
        same = [row for row in table_rows(other, map_.table, Findings()) if _is_of(row, map_)]
        lines = [
            str(row.origin.line) for row in same if price_key(read_sold(map_.table, row, shop.unit, currency)) in taken
        ]
        if lines:
            goods = f"{len(lines):,} price{'s' * (len(lines) > 1)} of {map_.supplier} that the list has too"
            rest = f" and {len(lines) - MOST_LINES:,} more" if len(lines) > MOST_LINES else ""
            told = f"line{'s' * (len(lines) > 1)} {', '.join(lines[:MOST_LINES])}{rest}"
            findings.fault(Origin(file=shown_path(other)), f"has {goods}; delete {told}")


def _is_of(row: Fields, map_: SupplierMap) -> bool:
    return name_key(row.texts.get("supplier", "")) == name_key(map_.supplier)


def check_supplier(old: Iterable[SoldPrice], path: Path, map_: SupplierMap, findings: Findings) -> None:
    """Note a table that holds the prices of another supplier, which would be lost."""
    others = dict.fromkeys(row.supplier for row in old if name_key(row.supplier) != name_key(map_.supplier))
    if others:
        remedy = f"give this map a name of its own, or mend supplier; under a new name, delete {path.name} first"
        findings.fault(map_.origin, f"{path.name} holds the prices of {', '.join(others)}; {remedy}", "supplier")


def tell_of_dates_left(
    changes: Changes,
    rows: Iterable[MappedRow],
    old: Iterable[SoldPrice],
    today: date,
    map_: SupplierMap,
    origin: Origin,
    findings: Findings,
) -> None:
    """Note, once, prices that changed under the date they had: they count from today, as their former ones held."""
    before, after = {price_key(row): row.day for row in old}, {price_key(row.sold): row.sold.day for row in rows}
    changed = (one.key for one in (*changes.up, *changes.down))
    left = [after[key] for key in changed if after[key] == before[key] < today]
    if left:
        prices = "1 price" if len(left) == 1 else f"{len(left):,} prices"
        told = f"has {prices} changed under the date of the former list, {left[0]}, which count{'s' * (len(left) == 1)}"
        remedy = f"; mend date in {map_.path.name} if this list says another day" if map_.day else ""
        findings.notice(origin, f"{told} from {today} on{remedy}")


def check_days(
    changes: Changes,
    rows: Iterable[MappedRow],
    old: Iterable[SoldPrice],
    path: Path,
    map_: SupplierMap,
    origin: Origin,
    findings: Findings,
) -> None:
    """Note a list whose prices are older than those they would replace."""
    before, after = {price_key(row): row.day for row in old}, {price_key(row.sold): row.sold.day for row in rows}
    older = [one.key for one in (*changes.up, *changes.down) if after[one.key] < before[one.key]]
    if older:
        prices = f"{len(older):,} price{'s' * (len(older) > 1)} dated {after[older[0]]}"
        remedy = f"mend date in {map_.path.name}, or delete {path.name} if the older list is right"
        findings.fault(origin, f"has {prices} in place of newer, dated {before[older[0]]}; {remedy}")


def check_length(
    rows: tuple[MappedRow, ...], old: tuple[SoldPrice, ...], path: Path, origin: Origin, findings: Findings
) -> None:
    """Note a list with less than half the rows of the last one: half a list looks like a whole one."""
    if 2 * len(rows) < len(old):
        remedy = f"ask for the whole list, or delete {path.name} if it is right"
        found = f"has {len(rows):,} row{'s' * (len(rows) > 1)} of goods"
        findings.fault(origin, f"{found}, and there were {len(old):,} the last time; {remedy}")
