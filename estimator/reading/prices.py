"""The price tables of a shop: read whole, each row with its place and its date."""

import os
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_products import FINISH_PRODUCT_COLUMNS, FinishProduct, read_finish_products
from estimator.reading.lists import Column, columns, each_row
from estimator.reading.shop import Shop
from estimator.reading.sold import (
    SOLD,
    TAKEN_FROM,
    ConsumablePrice,
    FinishPrice,
    HardwarePrice,
    LumberPrice,
    PriceRow,
    consumable_price,
    finish_price,
    hardware_price,
    lumber_price,
)
from estimator.reading.spread_rates import SPREAD_COLUMNS, SpreadRate, spread_rate
from estimator.reading.suppliers import Supplier, check_suppliers, read_suppliers

LABOUR_RATE_COLUMNS = columns("rate, per_hour, date", "note")


@dataclass(frozen=True, kw_only=True, slots=True)
class LabourRate:
    """What an hour of one kind of work is paid."""

    origin: Origin
    name: str
    per_hour: Decimal
    day: date


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceTables:
    """All price tables of a shop."""

    folder: Path
    lumber: tuple[LumberPrice, ...]
    hardware: tuple[HardwarePrice, ...]
    finishes: tuple[FinishPrice, ...]
    spread_rates: tuple[SpreadRate, ...]
    consumables: tuple[ConsumablePrice, ...]
    labour_rates: tuple[LabourRate, ...]
    finish_products: tuple[FinishProduct, ...] = ()
    suppliers: tuple[Supplier, ...] = ()


def read_price_tables(shop: Shop, findings: Findings) -> PriceTables:
    """Return the price tables in the shop's folder; faults go to `findings`.

    A table that is not there is an empty one: whatever a build needs of it is then reported as a missing price.
    `lumber.csv` is kept by hand; what was taken over from suppliers lies beside it in `lumber-*.csv`, and so for all
    that suppliers sell.
    """
    folder, unit, currency = shop.price_tables, shop.unit, shop.currency
    faults_before = len(findings.faults)
    suppliers = read_suppliers(folder, currency, findings)
    judged = findings if unit else Findings()  # without a unit a bare length is no fault of the table's

    def rows(name: str, wanted: tuple[Column, ...]) -> Iterator[Fields]:
        path = folder / name
        there = os.path.exists(path)  # noqa: PTH110 - Path raises where a folder's name is too long for any
        return each_row(path, wanted, judged) if there else iter(())

    def sold(table: str) -> Iterator[Fields]:
        yield from rows(f"{table}.csv", SOLD[table])
        for path in taken_over(folder, table):
            yield from each_row(path, (*SOLD[table], TAKEN_FROM), judged)

    tables = PriceTables(
        folder=folder,
        lumber=tuple(lumber_price(row, unit, suppliers) for row in sold("lumber")),
        hardware=tuple(hardware_price(row, unit, suppliers) for row in sold("hardware")),
        finishes=tuple(finish_price(row, suppliers) for row in sold("finishes")),
        spread_rates=tuple(spread_rate(row) for row in rows("spread_rates.csv", SPREAD_COLUMNS)),
        consumables=tuple(consumable_price(row, suppliers) for row in sold("consumables")),
        labour_rates=tuple(labour_rate(row, currency) for row in rows("labour_rates.csv", LABOUR_RATE_COLUMNS)),
        finish_products=read_finish_products(tuple(rows("finish_products.csv", FINISH_PRODUCT_COLUMNS))),
        suppliers=tuple(suppliers.known.values()),
    )
    sold_rows = (tables.lumber, tables.hardware, tables.finishes, tables.consumables)
    if (
        unit and len(findings.faults) == faults_before
    ):  # a value that stands in for a faulty one may make two rows look alike
        for one_table in sold_rows:
            _check_prices_differ(one_table, findings)
        sellers = {row.supplier for one_table in sold_rows for row in one_table}
        check_suppliers(suppliers, shop.supplier_choice, sellers, findings)
    return tables


def _check_prices_differ(rows: Iterable[PriceRow], findings: Findings) -> None:
    """Note rows that give one supplier's item two prices from the same quantity on."""
    first: dict[Hashable, PriceRow] = {}
    for row in rows:
        other = first.setdefault((name_key(row.supplier), row.item_key, row.from_quantity), row)
        if other is not row:
            place = f"line {other.origin.line}" if other.origin.file == row.origin.file else str(other.origin)
            findings.fault(
                row.origin,
                f"is a second price of the same item; keep this one or that of {place}, or write under from_quantity "
                "from how many on each holds",
                "price",
            )


def taken_over(folder: Path, table: str) -> tuple[Path, ...]:
    """Return the tables of one kind that were taken over from suppliers, in the order of their names."""
    try:
        return tuple(sorted(folder.glob(f"{table}-*.csv")))
    except OSError:  # a folder's name that is too long for any
        return ()


def labour_rate(row: Fields, currency: Currency) -> LabourRate:
    """Return a row of labour_rates.csv, checked."""
    return LabourRate(
        origin=row.origin,
        name=row.text("rate"),
        per_hour=row.money("per_hour", currency=currency),
        day=row.day("date"),
    )
