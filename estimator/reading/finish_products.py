"""What the label says of a finish product: its kind, what it is mixed, thinned and cleaned with, and its dry times."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from estimator.errors import Origin
from estimator.reading.fields import Fields, name_key, nearest
from estimator.reading.lists import columns
from estimator.reading.trade_units import parse_container
from estimator.units import decimal_text, parse_number, plain

Value = TypeVar("Value")
KINDS = ("drying oil", "solvent-borne", "water-borne", "two-part")
ROLES = ("thinner", "cleaner")
LONGEST_HOURS = 24 * 365  # no finish cures for more than a year; common sense, no source
MOST_PARTS = 1000  # in a mixing ratio; a slip of the keyboard beyond that; common sense, no source

FINISH_PRODUCT_COLUMNS = columns(
    "product",
    "kind, mixed_with, mix_ratio, thinner, thinner_percent, cleaner, cleaner_percent, touch_dry, recoat_after, "
    "recoat_within, full_cure, source",
)

_HOURS = {
    **dict.fromkeys(("min", "mins", "minute", "minutes"), Fraction(1, 60)),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), Fraction(1)),
    **dict.fromkeys(("d", "day", "days"), Fraction(24)),
    **dict.fromkeys(("week", "weeks"), Fraction(24 * 7)),
}
_DURATION = re.compile(r"(?P<low>[\d.,]+) ?(?P<low_unit>[a-z]+)?(?: ?(?:-|to) ?(?P<high>[\d.,]+) ?(?P<unit>[a-z]+))?")


@dataclass(frozen=True, kw_only=True, slots=True)
class Duration:
    """A time or a range of times, with the words to show it by: `1 to 2 h`."""

    low_hours: Fraction
    high_hours: Fraction
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class DryTimes:
    """When a coat is dry to the touch, how long the next one must wait and may wait, and when it is fully hard."""

    touch_dry: Duration | None = None
    recoat_after: Duration | None = None
    recoat_within: Duration | None = None
    full_cure: Duration | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Mixture:
    """What a two-part product is mixed with: so many parts of base to so many of hardener, by volume."""

    hardener: str
    base_parts: Fraction
    hardener_parts: Fraction

    @property
    def base_share(self) -> Fraction:
        """The share of the mixture that is base."""
        return self.base_parts / (self.base_parts + self.hardener_parts)

    @property
    def hardener_share(self) -> Fraction:
        """The share of the mixture that is hardener."""
        return 1 - self.base_share

    @property
    def text(self) -> str:
        """The ratio as it is said: `4:1`."""
        return f"{decimal_text(self.base_parts, 3)}:{decimal_text(self.hardener_parts, 3)}"

    def made_of(self, base_gal: Fraction, hardener_gal: Fraction) -> Fraction:
        """Return the gallons of mixture that so much of both gives: what the scarcer one allows."""
        return min(base_gal / self.base_share, hardener_gal / self.hardener_share)


@dataclass(frozen=True, kw_only=True, slots=True)
class Auxiliary:
    """A thinner or a cleaner that goes with a product, in percent of the product's volume."""

    role: str
    product: str
    percent: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishProduct:
    """A row of finish_products.csv; `kinds` is empty where none is written, `mixture` None for one of one part."""

    origin: Origin
    product: str
    kinds: tuple[str, ...]
    mixture: Mixture | None
    auxiliaries: tuple[Auxiliary, ...]
    dry_times: DryTimes
    source: str


def product_named(name: str, products: Iterable[FinishProduct]) -> FinishProduct | None:
    """Return what is known of a product by its name, None where it has no row."""
    return next((one for one in products if name_key(one.product) == name_key(name)), None)


def read_finish_products(rows: tuple[Fields, ...]) -> tuple[FinishProduct, ...]:
    """Return the products of finish_products.csv; a product that stands there twice is a fault."""
    lines: dict[str, int | None] = {}
    for row in rows:
        key = name_key(row.texts.get("product", ""))
        if key and key in lines:
            row.fault("product", f'"{row.texts["product"]}" stands here again; keep this row or line {lines[key]}')
        lines.setdefault(key, row.origin.line)
    return tuple(map(_finish_product, rows))


def _finish_product(row: Fields) -> FinishProduct:
    no_kind: tuple[str, ...] = ()
    return FinishProduct(
        origin=row.origin,
        product=row.text("product"),
        kinds=row.read("kind", parse_kinds, no_kind, blank=no_kind),
        mixture=_mixture(row),
        auxiliaries=tuple(one for role in ROLES if (one := _auxiliary(row, role))),
        dry_times=_dry_times(row),
        source=row.text("source", blank="no source given"),
    )


def _mixture(row: Fields) -> Mixture | None:
    if not _both_or_neither(row, "mixed_with", "mix_ratio"):
        return None
    base, hardener = row.read("mix_ratio", _with_comma(row, parse_ratio), (Fraction(1), Fraction(1)))
    return Mixture(hardener=_other_product(row, "mixed_with"), base_parts=base, hardener_parts=hardener)


def _auxiliary(row: Fields, role: str) -> Auxiliary | None:
    if not _both_or_neither(row, role, f"{role}_percent"):
        return None
    return Auxiliary(role=role, product=_other_product(row, role), percent=row.number(f"{role}_percent", high=100))


def _both_or_neither(row: Fields, name: str, amount: str) -> bool:
    """Whether a product and how much of it are both written; one of them alone is a fault."""
    if row.has(name) != row.has(amount):
        blank, written = (amount, name) if row.has(name) else (name, amount)
        row.fault(blank, f"is missing beside {written}; fill it in, or leave both blank")
    return row.has(name) and row.has(amount)


def _other_product(row: Fields, name: str) -> str:
    other = row.text(name)
    if name_key(other) == name_key(row.texts.get("product", "")):
        row.fault(name, f'"{other}" is the product itself; write the name of the other one')
    return other


def _dry_times(row: Fields) -> DryTimes:
    times = DryTimes(
        touch_dry=_duration(row, "touch_dry"),
        recoat_after=_duration(row, "recoat_after"),
        recoat_within=_duration(row, "recoat_within"),
        full_cure=_duration(row, "full_cure"),
    )
    after, within = times.recoat_after, times.recoat_within
    if after and within and within.high_hours <= after.low_hours:
        row.fault("recoat_within", f"{within.text} is over before recoat_after, {after.text}; write a longer time here")
    return times


def _duration(row: Fields, name: str) -> Duration | None:
    return row.read(name, _with_comma(row, parse_duration), None) if row.has(name) else None


def _with_comma(row: Fields, parse: Callable[..., Value]) -> Callable[[str], Value]:
    """Return a parser that reads numbers as the list writes them."""
    return lambda text: parse(text, decimal_comma=row.decimal_comma)


def parse_kinds(text: str) -> tuple[str, ...]:
    """Return the kinds of a product: `drying oil + solvent-borne`, in our order. Raises ValueError."""
    by_key = {name_key(kind): kind for kind in KINDS}
    named = [word.strip() for word in plain(text).split("+") if word.strip()]
    for word in named:
        if name_key(word) not in by_key:
            hint = nearest(word, KINDS)
            raise ValueError(f'"{word}" is no kind of finish{hint}; write some of {", ".join(KINDS)}, joined by +')
    keys = set(map(name_key, named))
    return tuple(kind for key, kind in by_key.items() if key in keys)


def parse_ratio(text: str, *, decimal_comma: bool = False) -> tuple[Fraction, Fraction]:
    """Return the parts of base and of hardener in `4:1`. Raises ValueError.

    A spreadsheet program makes the time 4:01 of it, which reads the same; with seconds it is refused.
    """
    numbers = plain(text).split(":")
    if len(numbers) == 3:
        raise ValueError(f'"{text}" looks like a time; format the column as text and write base to hardener, like 4:1')
    if len(numbers) != 2:
        raise ValueError(f'"{text}" is no ratio; write parts of base to parts of hardener by volume, like 4:1')
    base, hardener = (parse_number(number.strip(), decimal_comma=decimal_comma) for number in numbers)
    if not (0 < base <= MOST_PARTS and 0 < hardener <= MOST_PARTS):
        raise ValueError(f'"{text}" is out of range; write parts above 0, up to {MOST_PARTS}, like 4:1')
    return base, hardener


def parse_duration(text: str, *, decimal_comma: bool = False) -> Duration:
    """Return a time in hours: `30 min`, `6 h`, `1 - 2 h`, `30 min to 2 h`, `7 d`. Raises ValueError."""
    match = _DURATION.fullmatch(plain(text).lower())
    unit = (match["unit"] or match["low_unit"]) if match else None
    low_unit = (match["low_unit"] or unit) if match else None
    if match is None or unit not in _HOURS or low_unit not in _HOURS:
        raise ValueError(f'"{text}" is no time; write it with its unit, like 30 min, 6 h, 1 - 2 h or 7 d')
    low = parse_number(match["low"], decimal_comma=decimal_comma)
    high = parse_number(match["high"], decimal_comma=decimal_comma) if match["high"] else low
    low_hours, high_hours = low * _HOURS[low_unit], high * _HOURS[unit]
    if low_hours > high_hours:
        raise ValueError(f'"{text}" has the longer time first; write the shorter one first, like 1 - 2 h')
    if not 0 < low_hours <= high_hours <= LONGEST_HOURS:
        raise ValueError(f'"{text}" is out of range; write a time above 0, up to 365 d')
    shown = f"{decimal_text(high, 2)} {unit}"
    if match["high"]:
        own_unit = f" {low_unit}" if match["low_unit"] and low_unit != unit else ""
        shown = f"{decimal_text(low, 2)}{own_unit} to {shown}"
    return Duration(low_hours=low_hours, high_hours=high_hours, text=shown)


def parse_cans(text: str, *, decimal_comma: bool = False) -> tuple[Fraction, Fraction]:
    """Return what a container holds, and for a set like `1 gal + 1 qt` of its hardener, in US gallons; else 0.

    Raises ValueError.
    """
    cans = [can.strip() for can in text.split("+")]
    if len(cans) > 2:
        raise ValueError(f'"{text}" has more than two parts; write base and hardener, like 1 gal + 1 qt')
    contents = [parse_container(can, decimal_comma=decimal_comma) for can in cans]
    return contents[0], contents[1] if len(contents) == 2 else Fraction(0)
