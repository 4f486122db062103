"""What the entries of one item are priced by: a board may be sold each, by the foot or by the board foot over time."""

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from estimator.keeping.changes import units_ratio
from estimator.reading.fields import name_key
from estimator.reading.sold import LumberPrice, SoldPrice
from estimator.reading.trade_units import LumberPricing, lumber_pricing, parse_per
from estimator.standards.sections import parse_section

PRICED_PER = ("each", "ft", "m", "bf", "MBF", "ft3", "m3")
RANDOM_LENGTH = "random length"  # as item_words says it


def times_between(old_per: str, new_per: str, sold: SoldPrice | None) -> Fraction | None:
    """Return what a price per the old measure is multiplied by to be per the new one; None where nobody knows.

    `sold` is the item as it stands in the tables. Where they have it no more, only one measure of a kind is worked out
    from another, such as bf from MBF, for the size of a board is not known.
    """
    if old_per == new_per:
        return Fraction(1)
    try:
        if isinstance(sold, LumberPrice):
            by_volume = sold.length_in is None or sold.section.width_in is None
            pricing = lumber_pricing(old_per, sold.section, by_volume=by_volume)
            return Fraction(units_ratio(replace(sold, per=old_per, pricing=pricing), sold))
        return Fraction(1) if sold else _times_by_themselves(parse_per(old_per), parse_per(new_per))
    except (ValueError, ZeroDivisionError):  # someone has mended the history by hand
        return Fraction(1) if name_key(old_per) == name_key(new_per) else None


def _times_by_themselves(old: LumberPricing, new: LumberPricing) -> Fraction | None:
    return new.units / old.units if old.basis == new.basis else None


@lru_cache(maxsize=1024)
def per_words(per: str) -> str:
    """Return what a price is per as it is said behind it: `each`, `per ft` for LF, and nothing for nothing."""
    name = next((name for name in PRICED_PER if _is_the_same(name, per)), per.removeprefix("per "))
    return name if name in ("each", "") else f"per {name}"


def _is_the_same(name: str, per: str) -> bool:
    try:
        return parse_per(name) == parse_per(per)
    except ValueError:  # of what is no lumber: a can, a pack, an hour
        return False


def measured_by(item: str, per: str) -> str:
    """Return by which measure lumber of random length is sold, nothing for all else."""
    return _volume_of(per) if RANDOM_LENGTH in item else ""


@lru_cache(maxsize=1024)
def _volume_of(per: str) -> str:
    try:
        return lumber_pricing(per, parse_section("2x4"), by_volume=True).basis
    except ValueError:
        return name_key(per)
