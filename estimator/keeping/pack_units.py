"""What a price of small things is turned into: the price of a pack, a can or so much of a consumable."""

import re
from fractions import Fraction

from estimator.reading.fields import name_key
from estimator.reading.pack_amounts import LINKING_WORDS, PACK_WORDS, PIECE_WORDS, Amount, pieces_in
from estimator.reading.trade_units import ratio
from estimator.units import parse_number, plain


def price_of_pack(pack: Amount | None, per: Amount, per_pound: Fraction | None) -> tuple[int, Fraction]:
    """Return how many pieces a pack holds, and how many times the priced amount it costs, exactly.

    Where a list names no pack, the amount that is priced is bought whole. Pieces of a weight are rounded down;
    `per_pound` is how many of them weigh a pound, if known. Raises ValueError with what is to be said behind the text.
    """
    holds = pack or per
    if holds.unit != "pack" and "pound" in (holds.unit, per.unit) and per_pound is None:
        remedy = "take it by the piece or the pack, or write a word of its row under skip in the map"
        raise ValueError(f"goes by weight, and no count to the pound is published for it; {remedy}")
    pieces, each_lb = pieces_in(holds, per_pound), per_pound or Fraction(1)
    if per.unit == "pack" or pack is None:
        return pieces, Fraction(1)
    if per.unit == holds.unit:
        return pieces, holds.number / per.number
    return pieces, (holds.number * each_lb if per.unit == "piece" else holds.number / each_lb) / per.number


def parse_content(text: str) -> tuple[Fraction, str]:
    """Return how much a pack of a consumable holds and in which unit: `Box of 25 rags`, `32 fl oz`, `10`.

    The unit is blank where none is written. Raises ValueError.
    """
    match = re.fullmatch(r"(\d[\d.,]*) ?(\D*)", _without_packing(text))
    if match is None:
        raise ValueError(f'"{text}" does not say how much a pack holds; write it like 25, 25 rags or 32 fl oz')
    return parse_number(match[1]), match[2].strip(" .,")


def _without_packing(text: str) -> str:
    words = re.split(r"[ /()]+", plain(text))
    return " ".join(word for word in words if word.lower().rstrip(".,") not in PACK_WORDS | LINKING_WORDS)


def container_text(text: str) -> str:
    """Return a container as our tables write it: `5 gal` of `5 Gallon Pail`, `1 qt` of `Quart`, else as it stands."""
    words = _without_packing(text)
    match = re.fullmatch(r"(\d[\d.,]*)? ?([^\d+]+)", words)
    if match is None or ratio(match[2], "gal") is None:
        return text
    return f"{match[1] or 1} {match[2]}"


def container_price_times(content_gal: Fraction, per: str) -> Fraction:
    """Return how many times a price per so much a container costs; `per` is blank for the price of the container.

    Raises ValueError where it is per something that a liquid is not measured in.
    """
    return Fraction(1) if name_key(per) in PIECE_WORDS else content_price_times(content_gal, "gal", per)


def content_price_times(pack: Fraction, unit: str, per: str) -> Fraction:
    """Return how many times a price per so much a pack of so much costs: per `100` a pack of 50 costs half.

    `per` is blank or `pack` for the price of a pack, a number with or without the unit, or a unit that converts.
    Raises ValueError.
    """
    words = plain(per).lower().removeprefix("per ").strip()
    if not words or words.rstrip(".") in PACK_WORDS:
        return Fraction(1)
    number = re.match(r"[\d.,]+", words)
    measure = words[number.end() :].strip() if number else words
    priced = parse_number(number[0]) if number else Fraction(1)
    if not priced:
        raise ValueError(f'"{per}" is per nothing; write pack, 100 or a unit like {unit}')
    if not measure or measure.rstrip(".") in PIECE_WORDS or _singular(measure) == _singular(unit):
        return pack / priced
    times = ratio(unit, measure)
    if times is None:
        raise ValueError(f'"{per}" does not convert to {unit}, which the pack is counted in; write pack, or {unit}')
    return pack * times / priced


def _singular(unit: str) -> str:
    return name_key(unit).rstrip(".").removesuffix("s")
