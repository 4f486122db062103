"""How many or how much a pack holds, in the words of lists: `100 pcs`, `Box of 100`, `per 1000`, `5 lb`.

Hardware by weight is counted through published counts per pound; where none is published it is refused.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from estimator.reading.fields import name_key
from estimator.reading.trade_units import ratio
from estimator.standards.fasteners import find_nail
from estimator.units import decimal_text, parse_number, plain

# Words of the trade; from memory.
PACK_WORDS = set(
    re.findall(
        r"\w+",
        """box boxes pack packs package packages packet packets pkg pk bag bags tub carton ctn case bucket jar roll set
        blister can cans tin tins bottle tube pail drum container packung pckg pkt karton schachtel beutel dose eimer
        kasten rolle flasche kanister gebinde ve vpe verpackungseinheit""",
    )
)
_JOINING_WORDS = {"of", "a", "à", "je", "zu", "mit"}  # `2 boxes of 50` are 100
LINKING_WORDS = {"per", "pro", "in", "er", *_JOINING_WORDS}
PIECE_WORDS = set(
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

    def notice(self, kind: str, size: str) -> str:
        """Return that a nail was counted by weight; whose figures these are stands in `source` and in README.md."""
        mean = "" if self.low == self.high else f" the mean of {self.low} to {self.high}"
        return f"{kind} {size} by weight is counted as {decimal_text(self.mean, 1)} to the pound,{mean} as published"


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_amount(text: str, *, decimal_comma: bool = False) -> Amount:
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
            number, numbers, times = number * parse_number(token, decimal_comma=decimal_comma), numbers + 1, False
        elif word in _COUNTS:
            number, unit = number * _COUNTS[word], "piece"
        elif pounds := ratio(word, "lb"):
            number, unit = number * pounds, "pound"
        elif word in PIECE_WORDS:
            unit = unit or "piece"
        elif word in PACK_WORDS:
            packed = True
        elif word in ("x", "*") and numbers:
            times = True
        elif word in _JOINING_WORDS:
            times = bool(numbers) and packed
        elif word not in LINKING_WORDS:
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


def pieces_in(pack: Amount, per_pound: Fraction | None) -> int:
    """Return how many pieces a pack holds, those of a weight rounded down; `per_pound` is how many weigh a pound.

    Raises ValueError with what is to be said behind the text.
    """
    if pack.unit == "pack":
        raise ValueError(f"does not say how many a pack holds; {PACK_HELP}")
    if pack.unit == "piece":
        if pack.number.denominator != 1:
            raise ValueError(f"is no whole number of pieces; {PACK_HELP}")
        return int(pack.number)
    if per_pound is None:
        raise ValueError("goes by weight, and no count to the pound is published for it; write how many it holds")
    return int(pack.number * per_pound)
