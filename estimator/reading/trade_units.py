"""Units of the trade through pint: containers of liquid, spreading rates, and what a lumber price is per.

Only unit names from the lists below reach pint: given free text it reads `22 1/4 in` as 5.5 inches and `22,5 mm` as
225. A registry of our own with a dozen exact definitions starts in milliseconds and keeps surprising names out.
"""

import functools
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from estimator.standards.sections import Section
from estimator.units import parse_number, plain

if TYPE_CHECKING:
    import pint

# GNU Units 3.22 database: inch, foot, US gallon = 231 in3, imperial gallon = 4.54609 L, board foot = 144 in3, pound =
# 0.45359237 kg.
_DEFINITIONS = (
    "meter = [length] = m",
    "centimeter = meter / 100 = cm",
    "millimeter = meter / 1000 = mm",
    "inch = 254 * meter / 10000 = in",
    "foot = 12 * inch = ft",
    "liter = meter ** 3 / 1000 = L",
    "milliliter = liter / 1000 = mL",
    "gallon = 231 * inch ** 3 = gal",
    "quart = gallon / 4 = qt",
    "pint_us = gallon / 8",
    "fluid_ounce = gallon / 128",
    "imperial_gallon = 454609 * liter / 100000",
    "imperial_quart = imperial_gallon / 4",
    "imperial_pint = imperial_gallon / 8",
    "imperial_fluid_ounce = imperial_gallon / 160",
    "board_foot = 144 * inch ** 3 = bf",
    "kilogram = [mass] = kg",
    "gram = kilogram / 1000 = g",
    "pound = 45359237 * kilogram / 100000000 = lb",
    "ounce = pound / 16 = oz",
)
_CONTAINER_UNITS = {
    **dict.fromkeys(("gal", "gallon", "gallons", "us gal", "us gallon", "us gallons"), "gallon"),
    **dict.fromkeys(("qt", "quart", "quarts"), "quart"),
    **dict.fromkeys(("pt", "pint", "pints"), "pint_us"),
    **dict.fromkeys(("fl oz", "fluid ounce", "fluid ounces"), "fluid_ounce"),
    **dict.fromkeys(("l", "liter", "litre", "liters", "litres"), "liter"),
    **dict.fromkeys(("ml", "milliliter", "millilitre"), "milliliter"),
}
# A bare gallon is the US one; the imperial holds a fifth more and must be called so.
_CONTAINER_UNITS |= {
    f"{kind}{end}": f"imperial_{unit}"
    for unit, words in {
        "gallon": ("gal", "gallon", "gallons"),
        "quart": ("qt", "quart", "quarts"),
        "pint": ("pt", "pint", "pints"),
        "fluid_ounce": ("fl oz", "fluid ounce", "fluid ounces"),
    }.items()
    for kind in ("imp ", "imp. ", "imperial ", "uk ")
    for end in words
}
_WEIGHT_UNITS = {
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "pound"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "ounce"),
    **dict.fromkeys(("kg", "kilo", "kilogram", "kilograms", "kilogramm"), "kilogram"),
    **dict.fromkeys(("g", "gram", "grams", "gramm"), "gram"),
}
_RATE_UNITS = {
    **dict.fromkeys(("ft2/gal", "sq ft/gal", "ft²/gal"), "foot ** 2 / gallon"),
    **dict.fromkeys(("ft2/qt", "sq ft/qt", "ft²/qt"), "foot ** 2 / quart"),
    **dict.fromkeys(("m2/l", "m²/l", "sq m/l"), "meter ** 2 / liter"),
}
# A mil is a thousandth of an inch.
_FILM_UNITS = {
    **dict.fromkeys(("mil", "mils"), Fraction(1)),
    **dict.fromkeys(("um", "µm", "μm", "micron", "microns"), Fraction(10, 254)),
}
_THICKEST_FILM_MIL = 100  # a tenth of an inch: no finish lies so thick in one coat; common sense, no source
_LENGTH_PRICES = {
    **dict.fromkeys(("ft", "foot", "linear foot", "lf"), "foot"),
    **dict.fromkeys(("m", "metre", "meter", "linear metre"), "meter"),
}
_VOLUME_PRICES = {
    **dict.fromkeys(("m3", "m³", "cubic metre", "cubic meter"), "meter ** 3"),
    **dict.fromkeys(("ft3", "ft³", "cubic foot"), "foot ** 3"),
}
_FACE_PRICES = {
    **dict.fromkeys(("ft2", "ft²", "sq ft", "sqft", "square foot", "square feet"), "foot"),
    **dict.fromkeys(("m2", "m²", "sq m", "sqm", "qm", "square metre", "square meter"), "meter"),
}
_BOARD_MEASURES = {
    **dict.fromkeys(("bf", "board foot", "bd ft"), 1),
    **dict.fromkeys(("mbf", "thousand board feet"), 1000),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class DryFilm:
    """How thick a finish lies once dry, as written and in thousandths of an inch."""

    text: str
    thickness_mil: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class SpreadRange:
    """How far a product goes: the low and the high end of the label's range."""

    low_ft2_per_gal: Fraction
    high_ft2_per_gal: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class LumberPricing:
    """What a lumber price is per.

    `basis` is "each", "foot", "board foot" or "cubic foot"; `units` says how many of them one priced unit holds: a
    price per metre holds 3.28 feet, one per thousand board feet 1000 board feet.
    """

    basis: str
    units: Fraction


@functools.cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    import pint  # noqa: PLC0415 - 0.2 s that only reading price tables needs

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry


@functools.cache
def factor(unit: str, wanted: str) -> Fraction:
    """Return how many of the wanted unit one unit is, exactly; both are names of the registry above."""
    return Fraction(_registry().Quantity(Fraction(1), unit).to(wanted).magnitude)


@functools.lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_container(text: str, *, decimal_comma: bool = False) -> Fraction:
    """Return a container's content in US gallons: `1 gal`, `1 imp gal`, `1 qt`, `2.5 L`. Raises ValueError."""
    match = re.fullmatch(r"([\d.,]+) ?([a-z. ]+)", plain(text).lower().rstrip("."))
    if match is None or match[2] not in _CONTAINER_UNITS:
        raise ValueError(f'"{text}" is not a container; write 1 gal, 1 qt, 2.5 L or 750 ml')
    content_gal = parse_number(match[1], decimal_comma=decimal_comma) * factor(_CONTAINER_UNITS[match[2]], "gallon")
    if content_gal < factor("milliliter", "gallon"):
        raise ValueError(f'"{text}" holds less than a millilitre; write 1 gal, 1 qt, 2.5 L or 750 ml')
    return content_gal


def parse_spread(text: str, *, decimal_comma: bool = False) -> SpreadRange:
    """Return a spreading rate: `250 ft2/gal`, `200 - 400 ft2/gal`, `8 to 10 m2/L`. Raises ValueError."""
    refusal = f'"{text}" is not a spreading rate; write 250 ft2/gal, 200 - 400 ft2/gal or 8 to 10 m2/L'
    match = re.fullmatch(r"([\d.,]+)(?: ?(?:-|to) ?([\d.,]+))? ?([a-z].*)", plain(text).lower())
    if match is None or match[3] not in _RATE_UNITS:
        raise ValueError(refusal)
    low = parse_number(match[1], decimal_comma=decimal_comma)
    high = parse_number(match[2], decimal_comma=decimal_comma) if match[2] else low
    if low <= 0:
        raise ValueError(refusal)
    if low > high:
        raise ValueError(f'"{text}" has the high rate first; write the low one first, like 200 - 400 ft2/gal')
    to_us = factor(_RATE_UNITS[match[3]], "foot ** 2 / gallon")
    return SpreadRange(low_ft2_per_gal=low * to_us, high_ft2_per_gal=high * to_us)


def parse_dry_film(text: str, *, decimal_comma: bool = False) -> DryFilm:
    """Return the thickness of a dry film: `1.5 mil`, `40 um`. Raises ValueError."""
    match = re.fullmatch(r"([\d.,]+) ?([a-zµμ]+)", plain(text).lower())
    if match is None or match[2] not in _FILM_UNITS:
        raise ValueError(f'"{text}" is no dry film; write its thickness with its unit, like 1.5 mil or 40 um')
    thickness_mil = parse_number(match[1], decimal_comma=decimal_comma) * _FILM_UNITS[match[2]]
    if not 0 < thickness_mil <= _THICKEST_FILM_MIL:
        raise ValueError(f'"{text}" is out of range; write a dry film above 0 and up to {_THICKEST_FILM_MIL} mil')
    return DryFilm(text=plain(text), thickness_mil=thickness_mil)


@functools.lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_per(text: str) -> LumberPricing:
    """Return what a lumber price is per: `each`, `ft`, `m`, `bf`, `MBF`, `m3` or `ft3`. Raises ValueError.

    A capital M alone could be either: yards write it for a thousand board feet, and metres are written with it too.
    """
    if plain(text) == "M":
        raise ValueError('"M" may be a thousand board feet or a metre; write MBF or m')
    words = plain(text).lower().removeprefix("per ")
    if words in ("each", "board", "piece"):
        return LumberPricing(basis="each", units=Fraction(1))
    if words in _LENGTH_PRICES:
        return LumberPricing(basis="foot", units=factor(_LENGTH_PRICES[words], "foot"))
    if words in _BOARD_MEASURES:
        return LumberPricing(basis="board foot", units=Fraction(_BOARD_MEASURES[words]))
    if words in _VOLUME_PRICES:
        return LumberPricing(basis="cubic foot", units=factor(_VOLUME_PRICES[words], "foot ** 3"))
    raise ValueError(_not_priced_per(text))


def _not_priced_per(text: str) -> str:
    return f'"{text}" is nothing lumber is priced per; write each, ft, m, 100 ft, bf, MBF, ft3, m3, ft2 or m2'


@functools.lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def per_many(text: str, *, decimal_comma: bool = False) -> tuple[Fraction, str]:
    """Return for how many of what a price is: 100 and `ft` of `per 100 ft`, 1 where no number is written."""
    words = plain(text).lower().removeprefix("per ")
    many = re.fullmatch(r"(\d[\d.,]*) ?([^\d.,].*)", words)
    return (parse_number(many[1], decimal_comma=decimal_comma), many[2]) if many else (Fraction(1), words)


def lumber_pricing(text: str, section: Section, *, by_volume: bool, decimal_comma: bool = False) -> LumberPricing:
    """Return what a price of lumber of a section is per, also `ft2` or `m2` of face and `100 ft`. Raises ValueError.

    `by_volume` as for `face_pricing`.
    """
    number, measure = per_many(text, decimal_comma=decimal_comma)
    face = face_pricing(measure, section, by_volume=by_volume)
    times, per = face or (Fraction(1), measure if number else text)
    try:
        one = parse_per(per)
    except ValueError:
        raise ValueError(_not_priced_per(text)) from None
    if number == 1 and not face:
        return one
    return LumberPricing(basis=one.basis, units=number * one.units / times)


def face_pricing(text: str, section: Section, *, by_volume: bool) -> tuple[Fraction, str] | None:
    """Return what a price per area of face is multiplied by, and what it is then per; None where it is per no area.

    A board of a width is priced by its length: per ft2 times its width in feet is per ft, per m2 likewise per m. Random
    widths or lengths are priced `by_volume`: per ft2 over the thickness in inches is per bf, for which less than 1 in
    counts as 1 in; per m2 over the thickness in metres is per m3. Width and thickness are the nominal ones, by which
    yards count boards (common practice, no source).
    """
    unit = _face_unit(text)
    if unit is None:
        return None
    if section.nominal_width_in is not None and not by_volume:
        return section.nominal_width_in * factor("inch", unit), "ft" if unit == "foot" else "m"
    if unit == "foot":
        return 1 / max(section.nominal_thickness_in, Fraction(1)), "bf"
    return 1 / (section.nominal_thickness_in * factor("inch", "meter")), "m3"


@functools.lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def _face_unit(text: str) -> str | None:
    return _FACE_PRICES.get(plain(text).lower().removeprefix("per "))


def ratio(unit: str, wanted: str) -> Fraction | None:
    """Return how many of the wanted unit one unit is, both as people write them; None for what does not convert.

    Knows liquids (`gal`, `qt`, `fl oz`, `L`) and weights (`lb`, `oz`, `kg`), each among themselves.
    """
    for known in (_CONTAINER_UNITS, _WEIGHT_UNITS):
        names = [known.get(plain(one).lower().rstrip(".")) for one in (unit, wanted)]
        if names[0] and names[1]:
            return factor(names[0], names[1])
    return None
