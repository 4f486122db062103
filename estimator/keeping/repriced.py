"""What a supplier's price is per, turned into what our table prices that row by: one pack, one can, a lumber measure.

Every conversion is exact. One that is impossible is a fault of the row, and what was assumed on the way is told.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from estimator.keeping.pack_units import (
    container_price_times,
    container_text,
    content_price_times,
    parse_content,
    price_of_pack,
)
from estimator.keeping.price_units import OUR_UNITS
from estimator.keeping.supplier_map import PRICED_PER
from estimator.keeping.vocabulary import THOUSAND
from estimator.reading.fields import Fields
from estimator.reading.finish_products import parse_cans
from estimator.reading.pack_amounts import Amount, count_per_pound, parse_amount
from estimator.reading.sold import FACE_NOTICE, RANDOM_LENGTH
from estimator.reading.trade_units import LumberPricing, face_pricing, parse_per, per_many
from estimator.standards.sections import Section, parse_section
from estimator.units import plain

Tell = Callable[[str], None]  # takes what was assumed about a row
RANDOM_NOTICE = "prices by volume without a length are taken for random lengths"


@dataclass(frozen=True, kw_only=True, slots=True)
class Repriced:
    """How many times the price as written one of our own units costs, and the cells that change with that."""

    times: Fraction = Fraction(1)
    cells: dict[str, str] = field(default_factory=dict)


def repriced(table: str, row: Fields, tell: Tell) -> Repriced:
    """Return how a row's price is changed; what cannot be read stays as it is, for the check of the row to report."""
    change = {"lumber": _lumber, "hardware": _hardware, "finishes": _finish, "consumables": _consumable}[table]
    return change(row, tell)


def _lumber(row: Fields, tell: Tell) -> Repriced:
    written = row.texts.get(PRICED_PER, "")
    number, per = row.read(PRICED_PER, per_many, (Fraction(1), written), blank=(Fraction(1), written))
    if per == plain(written).lower().removeprefix("per "):  # no number before it
        per = written
    section = _section(row.texts.get("section", ""))
    if not number or section is None:
        return Repriced()
    length = row.texts.get("length", "").lower()
    face = face_pricing(per, section, by_volume=section.width_in is None or length in ("", *RANDOM_LENGTH))
    if face:
        tell(FACE_NOTICE)
    times, per = face or (Fraction(1), per)
    cells = {PRICED_PER: per}
    pricing = row.read(PRICED_PER, lambda _: _pricing(per), None)
    if not length and pricing and pricing.basis in ("board foot", "cubic foot"):
        tell(RANDOM_NOTICE)
        cells["length"] = RANDOM_LENGTH[0]
    return Repriced(times=times / number, cells=cells)


def _pricing(per: str) -> LumberPricing | None:
    if per == THOUSAND:
        remedy = f'write "{THOUSAND}" = "MBF" or "m" under [units] in the map'
        raise ValueError(f'"{per}" may be a thousand board feet or a metre; {remedy}')
    try:
        return parse_per(per)
    except ValueError:
        ours = OUR_UNITS["lumber"]
        raise ValueError(
            f'"{per}" is nothing lumber is priced per; write under [units] in the map which of {ours} it is'
        ) from None


def _section(text: str) -> Section | None:
    try:
        return parse_section(text)
    except ValueError:
        return None


def _hardware(row: Fields, tell: Tell) -> Repriced:
    a_pack = Amount(number=Fraction(1), unit="pack")
    pack = row.read("pack", parse_amount, a_pack) if row.has("pack") else None
    per = row.read(PRICED_PER, parse_amount, a_pack) if row.has(PRICED_PER) else a_pack
    if row.findings.faults or (pack is None and per.unit == "pack"):
        return Repriced()
    published = count_per_pound(row.texts.get("kind", ""), row.texts.get("size", ""))
    by_weight = per.unit == "pound" or (pack is not None and pack.unit == "pound")
    try:
        pieces, times = price_of_pack(pack, per, published.mean if published else None)
    except ValueError as reason:
        whole = pack is None or (pack.unit == "piece" and pack.number.denominator == 1)
        name = PRICED_PER if whole else "pack"
        row.fault(name, f'"{row.texts[name]}" {reason}')
        return Repriced()
    if by_weight and published:
        tell(published.notice(row.texts["kind"], row.texts["size"]))
    return Repriced(times=times, cells={"pack": str(pieces)})


def _finish(row: Fields, tell: Tell) -> Repriced:  # noqa: ARG001 - called as the others are
    per = row.texts.get(PRICED_PER, "")
    container = container_text(row.texts.get("container", "") or per)
    try:
        content_gal = sum(parse_cans(container), Fraction(0))
    except ValueError:
        return Repriced(cells={"container": container})
    times = row.read(PRICED_PER, lambda text: container_price_times(content_gal, text), Fraction(1), blank=Fraction(1))
    return Repriced(times=times, cells={"container": container})


def _consumable(row: Fields, tell: Tell) -> Repriced:  # noqa: ARG001 - as above
    per = row.texts.get(PRICED_PER, "")
    name = "pack" if row.has("pack") else PRICED_PER
    if not row.has(name):
        return Repriced()
    pack, written = row.read(name, parse_content, (Fraction(1), ""))
    unit = row.texts.get("unit", "") or written
    cells = {"pack": f"{Decimal(pack.numerator) / Decimal(pack.denominator):f}", "unit": unit}
    if name == PRICED_PER or row.findings.faults or not per:
        return Repriced(cells=cells)
    times = row.read(PRICED_PER, lambda text: content_price_times(pack, unit, text), Fraction(1))
    return Repriced(times=times, cells=cells)
