"""The price tables: what the yard, the hardware shop and the paint shop charge, each row with its place and date."""

import os
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.fields import Fields
from estimator.reading.finish_steps import TEXTURES
from estimator.reading.lists import Column, columns, read_list
from estimator.reading.shop import Shop
from estimator.reading.trade_units import (
    DryFilm,
    LumberPricing,
    SpreadRange,
    parse_container,
    parse_dry_film,
    parse_per,
    parse_spread,
)
from estimator.standards.coating import theoretical_rate_ft2_per_gal
from estimator.standards.sections import Section, parse_section
from estimator.units import length_text, parse_length

LUMBER_COLUMNS = columns("supplier, species, section, length, price, per, date", "grade, note")
HARDWARE_COLUMNS = columns("supplier, kind, size, material, pack, price, date", "length, note")
FINISH_COLUMNS = columns("supplier, product, container, price, date", "note")
SPREAD_COLUMNS = columns("product, texture, coat", "rate, volume_solids_percent, dry_film, source")
CONSUMABLE_COLUMNS = columns("supplier, item, pack, unit, price, date", "note")
LABOUR_RATE_COLUMNS = columns("rate, per_hour, date", "note")

RANDOM_LENGTH = ("random", "random length", "rl")
SHORTEST_BOARD_IN = Fraction(24)  # that a bare number may stand for; common practice, no source
COATS = ("first", "further", "any")


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceRow:
    """What every price has: its place, who charges it, how much as written, and since when."""

    origin: Origin
    supplier: str
    price: Decimal
    day: date


@dataclass(frozen=True, kw_only=True, slots=True)
class LumberPrice(PriceRow):
    """A board of one length, or lumber of random length (`length_in` None) by volume."""

    species: str
    grade: str
    section: Section
    length_in: Fraction | None
    per: str
    pricing: LumberPricing


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwarePrice(PriceRow):
    """A pack of so many pieces."""

    kind: str
    size: str
    length_in: Fraction | None
    material: str
    pack: int


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishPrice(PriceRow):
    """A can of so much."""

    product: str
    container: str
    content_gal: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumablePrice(PriceRow):
    """A pack of so much of an item, in the unit the pack is counted in."""

    item: str
    pack: Decimal
    unit: str


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


def read_price_tables(shop: Shop, findings: Findings) -> PriceTables:
    """Return the price tables in the shop's folder; faults go to `findings`.

    A table that is not there is an empty one: whatever a build needs of it is then reported as a missing price.
    """
    folder, unit, currency = shop.price_tables, shop.unit, shop.currency
    judged = findings if unit else Findings()  # without a unit a bare length is no fault of the table's

    def rows(name: str, wanted: tuple[Column, ...]) -> tuple[Fields, ...]:
        path = folder / name
        there = os.path.exists(path)  # noqa: PTH110 - Path raises where a folder's name is too long for any
        return read_list(path, wanted, judged) if there else ()

    return PriceTables(
        folder=folder,
        lumber=tuple(_lumber(row, unit, currency) for row in rows("lumber.csv", LUMBER_COLUMNS)),
        hardware=tuple(_hardware(row, unit, currency) for row in rows("hardware.csv", HARDWARE_COLUMNS)),
        finishes=tuple(_finish(row, currency) for row in rows("finishes.csv", FINISH_COLUMNS)),
        spread_rates=tuple(_spread(row) for row in rows("spread_rates.csv", SPREAD_COLUMNS)),
        consumables=tuple(_consumable(row, currency) for row in rows("consumables.csv", CONSUMABLE_COLUMNS)),
        labour_rates=tuple(_labour_rate(row, currency) for row in rows("labour_rates.csv", LABOUR_RATE_COLUMNS)),
    )


def _lumber(row: Fields, unit: str, currency: Currency) -> LumberPrice:
    pricing = row.read("per", parse_per, parse_per("bf"))
    random_length = row.texts.get("length", "").lower() in RANDOM_LENGTH
    section = row.read("section", parse_section, parse_section("2x4"))
    if random_length and pricing.basis not in ("board foot", "cubic foot"):
        row.fault("per", f'"{row.text("per")}" cannot price random lengths; write bf, MBF or m3, or give a length')
    if not random_length and section.width_in is None:
        row.fault("length", f'"{section.text}" comes in random widths, so it is sold by volume; write random')
    return LumberPrice(
        origin=row.origin,
        supplier=row.text("supplier"),
        price=row.money("price", currency=currency),
        day=row.day("date"),
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


def _hardware(row: Fields, unit: str, currency: Currency) -> HardwarePrice:
    return HardwarePrice(
        origin=row.origin,
        supplier=row.text("supplier"),
        price=row.money("price", currency=currency),
        day=row.day("date"),
        kind=row.text("kind"),
        size=row.size("size"),
        length_in=row.length("length", unit=unit) if row.has("length") else None,
        material=row.text("material"),
        pack=row.count("pack"),
    )


def _finish(row: Fields, currency: Currency) -> FinishPrice:
    return FinishPrice(
        origin=row.origin,
        supplier=row.text("supplier"),
        price=row.money("price", currency=currency),
        day=row.day("date"),
        product=row.text("product"),
        container=row.text("container"),
        content_gal=row.read(
            "container", lambda text: parse_container(text, decimal_comma=row.decimal_comma), Fraction(1)
        ),
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


def _consumable(row: Fields, currency: Currency) -> ConsumablePrice:
    return ConsumablePrice(
        origin=row.origin,
        supplier=row.text("supplier"),
        price=row.money("price", currency=currency),
        day=row.day("date"),
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
