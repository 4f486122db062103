"""Doubts: what looks wrong in the price tables. They stop nothing; the worst are said first, and only so many."""

import re
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from estimator.errors import Notice, Origin
from estimator.money import Currency

MOST_SHOWN = 20  # doubts of one group: a list whose every price looks wrong has one cause
FEWEST = 3  # values that have a middle one, and lengths that make a series
NEAR = 1.3  # times the price of others: near enough to explain a slip; common practice, no source
NEAR_IN_PACKS = 1.6  # the same where packs differ in size, for a larger one is cheaper a piece; as above
WRITTEN = "written "  # before a figure that a price may have been meant as

Thing = TypeVar("Thing")


@dataclass(frozen=True, kw_only=True, slots=True)
class Suspect:
    """A place that looks wrong, and how much so; the words are made only for those that are shown."""

    origin: Origin
    tell: Callable[[], str]
    weight: float = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Doubts:
    """All doubts of one kind: how many there are, what to do, and the worst of them."""

    heading: str
    remedy: str
    notices: tuple[Notice, ...]
    count: int


def worst_of(heading: str, remedy: str, suspects: Sequence[Suspect]) -> Doubts:
    """Return the doubts of one kind, the worst first; those that are alike stay in the order of the tables."""
    shown = sorted(suspects, key=lambda one: -one.weight)[:MOST_SHOWN]
    notices = tuple(Notice(origin=one.origin, message=" ".join(one.tell().split())) for one in shown)
    return Doubts(heading=heading, remedy=remedy, notices=notices, count=len(suspects))


def times_off(value: float, middle: float) -> float:
    """Return how many times a price is another one, or the other way round: never less than 1."""
    return max(value / middle, middle / value)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """Another way to read a price: in words, and what it would come to then."""

    words: str
    rate: float


def near_readings(readings: Iterable[Reading], middle: float, near: float = NEAR) -> list[Reading]:
    """Return the readings that come near the price of others, the nearest first."""
    found = (one for one in readings if times_off(one.rate, middle) <= near)
    return sorted(found, key=lambda one: times_off(one.rate, middle))


def misfit(readings: Sequence[Reading], middle: float) -> float:
    """Return how far the nearest reading is from the middle price, to compare which of two prices a slip explains."""
    return round(times_off(readings[0].rate, middle), 3) if readings else float("inf")


def slip_text(readings: Sequence[Reading], rate_text: Callable[[float], str]) -> str:
    """Return the end of a sentence that says how a price would come near the others; empty where nothing does."""
    if not readings:
        return ""
    first, *others = readings
    it_would_be = f"it would be {rate}, near" if (rate := _rate_of(first, rate_text)) else "it would be near"
    or_else = ", ".join(filter(None, (others[0].words, _rate_of(others[0], rate_text)))) if others else ""
    return f"; {first.words} {it_would_be} the others{f' (or {or_else})' if or_else else ''}"


def _rate_of(reading: Reading, rate_text: Callable[[float], str]) -> str:
    """Return what a reading comes to, or nothing where its words name that figure: a price of one piece or gallon."""
    text = rate_text(reading.rate)
    written = reading.words.removeprefix(WRITTEN)
    return "" if re.search(rf"(?<![\d.]){re.escape(written)} a ", text.replace(",", "")) else text


def moved_points(price: float, rate: float) -> list[Reading]:
    """Return what a price would come to with its decimal point a place or two off."""
    shifts = (0.1, 10.0, 0.01, 100.0)
    # Without commas between thousands: it is to be written into a list, where one could be a decimal comma.
    return [Reading(words=f"{WRITTEN}{amount(price * shift).replace(',', '')}", rate=rate * shift) for shift in shifts]


def amount(value: float) -> str:
    """Return an amount of money in two places, or in three figures where that would show too little."""
    if value >= 1 or round(value, 2) == round(value, 6) > 0:
        return f"{value:,.2f}"
    return f"{Decimal(f'{value:.3g}'):f}"


def money(value: float, currency: Currency) -> str:
    """Return an amount in the shop's money: `$1,234.50`, `$0.0048`."""
    return f"{currency.symbol}{amount(value)}"


def place_of(other: Origin, seen_from: Origin) -> str:
    """Return where another row stands: its line, with the file where that is another one."""
    return f"line {other.line}" if other.file == seen_from.file else str(other)


def grouped(things: Iterable[Thing], key: Callable[[Thing], Hashable]) -> list[list[Thing]]:
    """Return things in groups of one key, in the order in which they first come."""
    groups: dict[Hashable, list[Thing]] = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(thing)
    return list(groups.values())
