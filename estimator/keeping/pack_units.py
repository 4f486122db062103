"""How many a pack holds and what a price of small things is per, in the words of price lists: `Box of 100`, `per 1000`.

Hardware sold by weight is counted through published counts per pound; where none is published it is refused.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from estimator.reading.fields import name_key
from estimator.reading.trade_units import ratio
from estimator.standards.fasteners import find_nail
from estimator.units import parse_number, plain

# Words of the trade; from memory.
_PACK_WORDS = set(
    re.findall(
        r"\w+",
        """box boxes pack packs package packages packet packets pkg pk bag bags tub carton ctn case bucket jar roll set
        blister can cans tin tins bottle tube pail drum container packung pckg pkt karton schachtel beutel dose eimer
        kasten rolle flasche kanister gebinde ve vpe verpackungseinheit""",
    )
)
_JOINING_WORDS = {"of", "a", "à", "je", "zu", "mit"}  # `2 boxes of 50` are 100
_LINKING_WORDS = {"per", "pro", "in", "er", *_JOINING_WORDS}
_PIECE_WORDS = set(
    re.findall(
        r"\w+",
        """each ea piece pieces pc pcs count ct loose single unit units stk stck stueck stück st einzeln lose""",
    )
)
_COUNTS = {
    **dict.fromkeys(("pair", "pairs", "pr", "paar"), 2),
    **dict.fromkeys(("dozen", "doz", "dz", "dutzend"), 12),
    "gross": 144,
    **dict.fromkeys(("hundred", "hundert"), 100),
    **dict.fromkeys(("thousand", "tausend", "tsd"), 1000),
}
_TOKEN = re.compile(r"\d+(?:[.,]\d+)*|[^\W\d_]+\.?|[*@]")
PACK_HELP = "write it like 100, 100 pcs, Box of 100 or 5 lb"


@dataclass(frozen=True, kw_only=True, slots=True)
class Amount:
    """So many pieces, pounds, or whole packs that do not say what they hold."""

    number: Fraction
    unit: Literal["piece", "pound", "pack"]


@dataclass(frozen=True, kw_only=True, slots=True)
class PublishedCount:
    """How many of a nail go to the pound: the mean of what is published, and between which figures of which source."""

    mean: Fraction
    low: int
    high: int
    source: str


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_amount(text: str) -> Amount:
    """Return what a pack holds or a price is per: `100`, `100 pcs`, `Box of 100`, `per 1000`, `each`, `5 lb`, `box`.

    `2 x 50` is 100, a dozen 12, a pair 2. Raises ValueError with the remedy for other words: `100 screws` may be so
    meant, and `100 mm` not.
    """
    refusal = f'"{text}" says neither how many nor how heavy; {PACK_HELP}'
    number, numbers, unit, packed, times = Fraction(1), 0, "", False, False
    if text.startswith("-") or _TOKEN.sub("", plain(text).lower()).strip(" /():,-"):
        raise ValueError(refusal)
    for token in _TOKEN.findall(plain(text).lower()):
        word = token.rstrip(".")
        if word[0].isdecimal():
            if numbers and not times:
                raise ValueError(refusal)
            number, numbers, times = number * parse_number(token), numbers + 1, False
        elif word in _COUNTS:
            number, unit = number * _COUNTS[word], "piece"
        elif pounds := ratio(word, "lb"):
            number, unit = number * pounds, "pound"
        elif word in _PIECE_WORDS:
            unit = unit or "piece"
        elif word in _PACK_WORDS:
            packed = True
        elif word in ("x", "*") and numbers:
            times = True
        elif word in _JOINING_WORDS:
            times = bool(numbers) and packed
        elif word not in _LINKING_WORDS:
            raise ValueError(refusal)
    if not (numbers or unit or packed) or times or not number:
        raise ValueError(refusal)
    if packed and not unit and number == 1:  # "box", "1 box": of how many, it does not say
        return Amount(number=number, unit="pack")
    return Amount(number=number, unit="pound" if unit == "pound" else "piece")


def count_per_pound(kind: str, size: str) -> PublishedCount | None:
    """Return how many nails of a kind (`common nail`, `finishing nail`) and penny size (`8d`) go to the pound.

    Sources: standards/nails.csv, each row with its own. None where nothing is published there.
    """
    words = name_key(kind).split()
    named = [name for name in ("common", "finishing") if name in words or name.removesuffix("ing") in words]
    nail = find_nail(named[0], name_key(size).replace(" ", "")) if len(named) == 1 else None
    if nail is None or nail.count_per_lb_low is None or nail.count_per_lb_high is None:
        return None
    low, high = nail.count_per_lb_low, nail.count_per_lb_high
    return PublishedCount(mean=Fraction(low + high, 2), low=low, high=high, source=nail.source)


def price_of_pack(pack: Amount | None, per: Amount, per_pound: Fraction | None) -> tuple[int, Fraction]:
    """Return how many pieces a pack holds, and how many times the priced amount it costs, exactly.

    Where a list names no pack, the amount that is priced is bought whole. Pieces of a weight are rounded down;
    `per_pound` is how many of them weigh a pound, if known. Raises ValueError with what is to be said behind the text.
    """
    holds = pack or per
    if holds.unit == "pack":
        raise ValueError(f"does not say how many a pack holds; {PACK_HELP}")
    if "pound" in (holds.unit, per.unit) and per_pound is None:
        remedy = "take it by the piece or the pack, or write a word of its row under skip in the map"
        raise ValueError(f"goes by weight, and no count to the pound is published for it; {remedy}")
    each_lb = per_pound or Fraction(1)
    pieces = holds.number if holds.unit == "piece" else holds.number * each_lb
    if per.unit == "pack" or pack is None:
        times = Fraction(1)
    elif per.unit == holds.unit:
        times = holds.number / per.number
    else:
        times = (holds.number * each_lb if per.unit == "piece" else holds.number / each_lb) / per.number
    if holds.unit == "piece" and pieces.denominator != 1:
        raise ValueError(f"is no whole number of pieces; {PACK_HELP}")
    return int(pieces), times


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
    return " ".join(word for word in words if word.lower().rstrip(".,") not in _PACK_WORDS | _LINKING_WORDS)


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
    return Fraction(1) if name_key(per) in _PIECE_WORDS else content_price_times(content_gal, "gal", per)


def content_price_times(pack: Fraction, unit: str, per: str) -> Fraction:
    """Return how many times a price per so much a pack of so much costs: per `100` a pack of 50 costs half.

    `per` is blank or `pack` for the price of a pack, a number with or without the unit, or a unit that converts.
    Raises ValueError.
    """
    words = plain(per).lower().removeprefix("per ").strip()
    if not words or words.rstrip(".") in _PACK_WORDS:
        return Fraction(1)
    number = re.match(r"[\d.,]+", words)
    measure = words[number.end() :].strip() if number else words
    priced = parse_number(number[0]) if number else Fraction(1)
    if not priced:
        raise ValueError(f'"{per}" is per nothing; write pack, 100 or a unit like {unit}')
    if not measure or measure.rstrip(".") in _PIECE_WORDS or _singular(measure) == _singular(unit):
        return pack / priced
    times = ratio(unit, measure)
    if times is None:
        raise ValueError(f'"{per}" does not convert to {unit}, which the pack is counted in; write pack, or {unit}')
    return pack * times / priced


def _singular(unit: str) -> str:
    return name_key(unit).rstrip(".").removesuffix("s")
