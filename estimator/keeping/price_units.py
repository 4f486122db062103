"""Whether a word is one that prices of a table can be per, so that a map with another is refused as a whole."""

from collections.abc import Callable
from fractions import Fraction

from estimator.keeping.pack_units import container_price_times, container_text
from estimator.keeping.vocabulary import THOUSAND
from estimator.reading.finish_products import parse_cans
from estimator.reading.pack_amounts import parse_amount
from estimator.reading.trade_units import face_pricing, parse_per, per_many
from estimator.standards.sections import parse_section

OUR_UNITS = {
    "lumber": "each, ft, m, bf, MBF, ft3, m3, ft2 or m2",
    "hardware": "each, 12, 100, 1000, pack, lb or kg",
    "finishes": "can, gal, qt or L",
    "consumables": "pack, each, 100 or the unit of the pack",
}


def is_unit(table: str, text: str) -> bool:
    """Whether a price of a table may be per that; a consumable's may be per whatever its pack is counted in."""
    if not text:
        return False
    match table:
        case "lumber":
            return text != THOUSAND and reads(_lumber_unit, text)
        case "hardware":
            return reads(parse_amount, text)
        case "finishes":
            return any(reads(parse, text) for parse in (_can_or_content, lambda one: parse_cans(container_text(one))))
        case _:
            return True


def _lumber_unit(text: str) -> object:
    _, measure = per_many(text)
    return face_pricing(measure, parse_section("2x4"), by_volume=False) or parse_per(measure)


def _can_or_content(text: str) -> Fraction:
    return container_price_times(Fraction(1), text)


def reads(parse: Callable[[str], object], text: str) -> bool:
    """Whether a text can be read so."""
    try:
        parse(text)
    except ValueError:
        return False
    return True
