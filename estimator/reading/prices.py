"""The price tables: what the yard, the hardware shop and the paint shop charge, each row with its place and date."""

import os
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TypedDict

from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_products import FINISH_PRODUCT_COLUMNS, FinishProduct, parse_cans, read_finish_products
from estimator.reading.finish_steps import TEXTURES
from estimator.reading.lists import Column, columns, each_row
from estimator.reading.shop import Shop
from estimator.reading.suppliers import Supplier, Suppliers, check_suppliers, read_suppliers
from estimator.reading.trade_units import (
    DryFilm,
    LumberPricing,
    SpreadRange,
    parse_dry_film,
    parse_per,
    parse_spread,
)
from estimator.standards.coating import theoretical_rate_ft2_per_gal
from estimator.standards.sections import Section, parse_section
from estimator.units import length_text, parse_length

LUMBER_COLUMNS = columns("supplier, species, section, length, price, per, date", "grade, from_quantity, note")
HARDWARE_COLUMNS = columns("supplier, kind, size, material, pack, price, date", "length, from_quantity, note")
FINISH_COLUMNS = columns("supplier, product, container, price, date", "from_quantity, note")
SPREAD_COLUMNS = columns("product, texture, coat", "rate, volume_solids_percent, dry_film, source")
CONSUMABLE_COLUMNS = columns("supplier, item, pack, unit, price, date", "from_quantity, note")
LABOUR_RATE_COLUMNS = columns("rate, per_hour, date", "note")

# The tables of what suppliers sell; those taken over from their lists say where each row was taken from.
SOLD = {
    "lumber": LUMBER_COLUMNS,
    "hardware": HARDWARE_COLUMNS,
    "finishes": FINISH_COLUMNS,
    "consumables": CONSUMABLE_COLUMNS,
}
TAKEN_FROM = Column(name="taken_from", required=False)

RANDOM_LENGTH = ("random", "random length", "rl")
SHORTEST_BOARD_IN = Fraction(24)  # that a bare number may stand for; common practice, no source
COATS = ("first", "further", "any")


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceRow:
    """What every price has: its place, who charges it, how much as written, and since when.

    `seller` says how the price becomes the shop's money, None where it is that already. The price is that of all
    pieces of the item where at least `from_quantity` of it are bought.
    """

    origin: Origin
    supplier: str
    price: Decimal
    day: date
    seller: Supplier | None = None
    from_quantity: int = 1

    @property
    def net_price(self) -> Fraction:
        """The price in the shop's money, tax and discount taken off, exact."""
        return Fraction(self.price) * (self.seller.factor if self.seller else 1)

    @property
    def is_changed(self) -> bool:
        """Whether it becomes the shop's money by a rate, a tax or a discount."""
        return self.seller is not None and self.seller.factor != 1

    @property
    def item_key(self) -> Hashable:
        """What tells apart the items of one supplier; prices of one item differ in the quantity they hold from."""
        return ()


@dataclass(frozen=True, kw_only=True, slots=True)
class LumberPrice(PriceRow):
    """A board of one length, or lumber of random length (`length_in` None) by volume."""

    species: str
    grade: str
    section: Section
    length_in: Fraction | None
    per: str
    pricing: LumberPricing

    @property
    def item_key(self) -> Hashable:
        """The wood and the length of its boards; of random length, by which measure it is sold."""
        sold_by = self.length_in if self.length_in is not None else self.pricing.basis
        return name_key(self.species), name_key(self.grade), self.section.text, sold_by


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwarePrice(PriceRow):
    """A pack of so many pieces."""

    kind: str
    size: str
    length_in: Fraction | None
    material: str
    pack: int

    @property
    def item_key(self) -> Hashable:
        """The piece, and how many of it are in a pack."""
        return name_key(self.kind), name_key(self.size), self.length_in, name_key(self.material), self.pack


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishPrice(PriceRow):
    """A can of so much, or a set of base and hardener with so much of each."""

    product: str
    container: str
    content_gal: Fraction
    hardener_gal: Fraction = Fraction(0)

    @property
    def item_key(self) -> Hashable:
        """The product and its can."""
        return name_key(self.product), name_key(self.container)


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumablePrice(PriceRow):
    """A pack of so much of an item, in the unit the pack is counted in."""

    item: str
    pack: Decimal
    unit: str

    @property
    def item_key(self) -> Hashable:
        """The item, and how much of it is in a pack."""
        return name_key(self.item), self.pack


SoldPrice = LumberPrice | HardwarePrice | FinishPrice | ConsumablePrice


@dataclass(frozen=True, kw_only=True, slots=True)
class LabourRate:
    """What an hour of one kind of work is paid."""

    origin: Origin
    name: str
    per_hour: Decimal
    day: date


@dataclass(frozen=True, kw_only=True, slots=True)
class SpreadRate:
    """How far a product goes on one texture, for its first coat, its further coats or any."""

    origin: Origin
    product: str
    texture: str
    coat: str
    spread: SpreadRange
    source: str


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
        lumber=tuple(_lumber(row, unit, suppliers) for row in sold("lumber")),
        hardware=tuple(_hardware(row, unit, suppliers) for row in sold("hardware")),
        finishes=tuple(_finish(row, suppliers) for row in sold("finishes")),
        spread_rates=tuple(_spread(row) for row in rows("spread_rates.csv", SPREAD_COLUMNS)),
        consumables=tuple(_consumable(row, suppliers) for row in sold("consumables")),
        labour_rates=tuple(_labour_rate(row, currency) for row in rows("labour_rates.csv", LABOUR_RATE_COLUMNS)),
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


def read_sold(table: str, row: Fields, unit: str, currency: Currency) -> SoldPrice:
    """Return a row of one of the tables of what suppliers sell, checked; faults go to the row's findings."""
    suppliers = Suppliers(own_currency=currency, known={})
    match table:
        case "lumber":
            return _lumber(row, unit, suppliers)
        case "hardware":
            return _hardware(row, unit, suppliers)
        case "finishes":
            return _finish(row, suppliers)
        case _:
            return _consumable(row, suppliers)


class _Charged(TypedDict):
    """The fields of a PriceRow."""

    origin: Origin
    supplier: str
    price: Decimal
    day: date
    seller: Supplier | None
    from_quantity: int


def _charged(row: Fields, suppliers: Suppliers) -> _Charged:
    """Return what every price row has; a price is in its supplier's currency."""
    supplier = row.text("supplier")
    return _Charged(
        origin=row.origin,
        supplier=supplier,
        price=row.money("price", currency=suppliers.currency_of(supplier)),
        day=row.day("date"),
        seller=suppliers.named(supplier),
        from_quantity=row.count("from_quantity", blank=1),
    )


def _lumber(row: Fields, unit: str, suppliers: Suppliers) -> LumberPrice:
    pricing = row.read("per", parse_per, parse_per("bf"))
    random_length = row.texts.get("length", "").lower() in RANDOM_LENGTH
    section = row.read("section", parse_section, parse_section("2x4"))
    if random_length and pricing.basis not in ("board foot", "cubic foot"):
        row.fault("per", f'"{row.text("per")}" cannot price random lengths; write bf, MBF or m3, or give a length')
    if not random_length and section.width_in is None:
        row.fault("length", f'"{section.text}" comes in random widths, so it is sold by volume; write random')
    return LumberPrice(
        **_charged(row, suppliers),
        species=row.text("species"),
        grade=row.text("grade", blank=""),
        section=section,
        length_in=None if random_length else _board_length(row, unit),
        per=row.text("per"),
        pricing=pricing,
    )


def _board_length(row: Fields, unit: str) -> Fraction:
    """Return a board's length; `8` in an inch shop means feet to whoever writes it and must not pass for inches."""

    def parse(text: str) -> Fraction:
        length_in = parse_length(text, unit=unit, decimal_comma=row.decimal_comma)
        if text.isdigit() and length_in < SHORTEST_BOARD_IN:
            meant = f"{text} {'ft' if unit == 'in' else 'm'}"
            raise ValueError(f'"{text}" would be {length_text(length_in, unit)}; write it with its unit, like {meant}')
        return length_in

    return row.read("length", parse, SHORTEST_BOARD_IN)


def _hardware(row: Fields, unit: str, suppliers: Suppliers) -> HardwarePrice:
    return HardwarePrice(
        **_charged(row, suppliers),
        kind=row.text("kind"),
        size=row.size("size"),
        length_in=row.length("length", unit=unit) if row.has("length") else None,
        material=row.text("material"),
        pack=row.count("pack"),
    )


def _finish(row: Fields, suppliers: Suppliers) -> FinishPrice:
    content_gal, hardener_gal = row.read(
        "container", lambda text: parse_cans(text, decimal_comma=row.decimal_comma), (Fraction(1), Fraction(0))
    )
    return FinishPrice(
        **_charged(row, suppliers),
        product=row.text("product"),
        container=row.text("container"),
        content_gal=content_gal,
        hardener_gal=hardener_gal,
    )


def _spread(row: Fields) -> SpreadRate:
    spread, theory = _spread_and_theory(row)
    return SpreadRate(
        origin=row.origin,
        product=row.text("product"),
        texture=row.choice("texture", TEXTURES),
        coat=row.choice("coat", COATS),
        spread=spread,
        source="; ".join(filter(None, (theory, row.text("source", blank="" if theory else "no source given")))),
    )


def _spread_and_theory(row: Fields) -> tuple[SpreadRange, str]:
    """Return the rate of a row, and in words where it is worked out from solids and film; it has one or the other."""
    stand_in = SpreadRange(low_ft2_per_gal=Fraction(1), high_ft2_per_gal=Fraction(1))
    measured = tuple(filter(row.has, ("volume_solids_percent", "dry_film")))
    if row.has("rate") and measured:
        row.fault(
            measured[0], "stands beside a rate; keep the rate of the label, or volume_solids_percent and dry_film"
        )
        return stand_in, ""
    if measured:
        return _theoretical_spread(row)
    if not row.has("rate"):
        row.fault("rate", "is missing; fill it in, or volume_solids_percent and dry_film")
        return stand_in, ""
    return row.read("rate", lambda text: parse_spread(text, decimal_comma=row.decimal_comma), stand_in), ""


def _theoretical_spread(row: Fields) -> tuple[SpreadRange, str]:
    """Return how far volume solids go in a film; a film has no range, so that low and high are one."""
    solids_percent = row.number("volume_solids_percent", high=100, above=True)
    film = row.read(
        "dry_film",
        lambda text: parse_dry_film(text, decimal_comma=row.decimal_comma),
        DryFilm(text="", thickness_mil=Fraction(1)),
    )
    rate = Fraction(
        theoretical_rate_ft2_per_gal(
            volume_solids_percent=float(solids_percent), dry_film_mil=float(film.thickness_mil)
        )
    )
    theory = f"theoretical, from {solids_percent} % solids by volume in a dry film of {film.text}, so low = high"
    return SpreadRange(low_ft2_per_gal=rate, high_ft2_per_gal=rate), theory


def _consumable(row: Fields, suppliers: Suppliers) -> ConsumablePrice:
    return ConsumablePrice(
        **_charged(row, suppliers),
        item=row.text("item"),
        pack=row.number("pack", above=True),
        unit=row.text("unit"),
    )


def _labour_rate(row: Fields, currency: Currency) -> LabourRate:
    return LabourRate(
        origin=row.origin,
        name=row.text("rate"),
        per_hour=row.money("per_hour", currency=currency),
        day=row.day("date"),
    )
