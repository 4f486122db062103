"""What suppliers sell: a price row of lumber, hardware, finish or consumables, with its place and its date."""

import re
from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import TypedDict

from estimator.errors import Origin
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_products import parse_cans
from estimator.reading.lists import Column, columns
from estimator.reading.pack_amounts import count_per_pound, parse_amount, pieces_in
from estimator.reading.suppliers import Supplier, Suppliers
from estimator.reading.trade_units import (
    LumberPricing,
    face_pricing,
    lumber_pricing,
    parse_per,
    per_many,
)
from estimator.standards.sections import Section, parse_section
from estimator.units import length_text, parse_length

LUMBER_COLUMNS = columns("supplier, species, section, length, price, per, date", "grade, from_quantity, note")
HARDWARE_COLUMNS = columns("supplier, kind, size, material, pack, price, date", "length, from_quantity, note")
FINISH_COLUMNS = columns("supplier, product, container, price, date", "from_quantity, note")
CONSUMABLE_COLUMNS = columns("supplier, item, pack, unit, price, date", "from_quantity, note")
# The tables of what suppliers sell; those taken over from their lists say where each row was taken from.
SOLD = {
    "lumber": LUMBER_COLUMNS,
    "hardware": HARDWARE_COLUMNS,
    "finishes": FINISH_COLUMNS,
    "consumables": CONSUMABLE_COLUMNS,
}
TAKEN_FROM = Column(name="taken_from", required=False)
RANDOM_LENGTH = ("random", "random length", "rl")
MOST_IN_A_PACK = 100_000  # a slip of the keyboard beyond that; common sense, no source
FACE_NOTICE = (
    "prices for an area of face are worked out by the board's nominal width, or its thickness where sold by volume"
)
SHORTEST_BOARD_IN = Fraction(24)  # that a bare number may stand for; common practice, no source
_BARE_NUMBER = r"[\d.,/ ]+"


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


def read_sold(table: str, row: Fields, unit: str, currency: Currency) -> SoldPrice:
    """Return a row of one of the tables of what suppliers sell, checked; faults go to the row's findings."""
    suppliers = Suppliers(own_currency=currency, known={})
    match table:
        case "lumber":
            return lumber_price(row, unit, suppliers)
        case "hardware":
            return hardware_price(row, unit, suppliers)
        case "finishes":
            return finish_price(row, suppliers)
        case _:
            return consumable_price(row, suppliers)


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


def lumber_price(row: Fields, unit: str, suppliers: Suppliers) -> LumberPrice:
    """Return a row of lumber.csv, checked; a board has a length, what comes in random lengths is sold by volume."""
    random_length = row.texts.get("length", "").lower() in RANDOM_LENGTH
    section = row.read("section", parse_section, parse_section("2x4"))
    by_volume = random_length or section.width_in is None
    pricing = _pricing(row, section, by_volume=by_volume)
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


def _pricing(row: Fields, section: Section, *, by_volume: bool) -> LumberPricing:
    """Return what a row's price is per; lumber by volume is counted in the measure itself, not in hundreds of it."""

    def parse(text: str) -> LumberPricing:
        number, measure = per_many(text, decimal_comma=row.decimal_comma)
        if by_volume and number != 1:
            raise ValueError(f'"{text}" cannot price lumber by volume; write the price of one, such as bf, MBF or m3')
        pricing = lumber_pricing(text, section, by_volume=by_volume, decimal_comma=row.decimal_comma)
        if face_pricing(measure, section, by_volume=by_volume):
            row.findings.notice(Origin(file=row.origin.file), FACE_NOTICE)
        return pricing

    return row.read("per", parse, parse_per("bf"))


def _board_length(row: Fields, unit: str) -> Fraction:
    """Return a board's length; `8` in an inch shop means feet to whoever writes it and must not pass for inches."""

    def parse(text: str) -> Fraction:
        length_in = parse_length(text, unit=unit, decimal_comma=row.decimal_comma)
        if re.fullmatch(_BARE_NUMBER, text) and length_in < SHORTEST_BOARD_IN:
            meant = f"{text} {'ft' if unit == 'in' else 'm'}"
            raise ValueError(f'"{text}" would be {length_text(length_in, unit)}; write it with its unit, like {meant}')
        return length_in

    return row.read("length", parse, SHORTEST_BOARD_IN)


def hardware_price(row: Fields, unit: str, suppliers: Suppliers) -> HardwarePrice:
    """Return a row of hardware.csv, checked."""
    return HardwarePrice(
        **_charged(row, suppliers),
        kind=row.text("kind"),
        size=row.size("size"),
        length_in=row.length("length", unit=unit) if row.has("length") else None,
        material=row.text("material"),
        pack=_pieces(row),
    )


def _pieces(row: Fields) -> int:
    """Return how many pieces a pack holds: a number, or words that come to one, such as `box of 100` and `5 lb`."""

    def parse(text: str) -> int:
        kind, size = row.texts.get("kind", ""), row.texts.get("size", "")
        amount, published = parse_amount(text, decimal_comma=row.decimal_comma), count_per_pound(kind, size)
        try:
            pieces = pieces_in(amount, published.mean if published else None)
        except ValueError as reason:
            raise ValueError(f'"{text}" {reason}') from None
        if not 1 <= pieces <= MOST_IN_A_PACK:
            raise ValueError(f'"{text}" comes to {pieces:,} pieces; write what holds from 1 to {MOST_IN_A_PACK:,}')
        if amount.unit == "pound" and published:
            row.findings.notice(Origin(file=row.origin.file), published.notice(kind, size))
        return pieces

    if any(map(str.isalpha, row.texts.get("pack", ""))):
        return row.read("pack", parse, 1)
    return row.count("pack", high=MOST_IN_A_PACK)


def finish_price(row: Fields, suppliers: Suppliers) -> FinishPrice:
    """Return a row of finishes.csv, checked; a can with a sum in it is a set of base and hardener."""
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


def consumable_price(row: Fields, suppliers: Suppliers) -> ConsumablePrice:
    """Return a row of consumables.csv, checked."""
    return ConsumablePrice(
        **_charged(row, suppliers),
        item=row.text("item"),
        pack=row.number("pack", above=True),
        unit=row.read("unit", _pack_unit, ""),
    )


def _pack_unit(text: str) -> str:
    """Return what a pack is counted in; a number there is its amount, in the wrong place."""
    if re.fullmatch(_BARE_NUMBER, text):
        raise ValueError(f'"{text}" is a number; write what the pack is counted in, such as fl oz or discs')
    return text
