"""The named values of one row of a list, or of one table of a settings file, turned into checked values.

A value that cannot be read is noted as a fault with its place, and a harmless stand-in is returned, so that reading
goes on to the next fault. The stand-in never reaches a result: reading ends by raising all faults.
"""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from heapq import nlargest
from itertools import pairwise
from typing import TypeVar

from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.units import looks_like_a_date, parse_area, parse_length, parse_number, plain

Value = TypeVar("Value")
HIGHEST_PRICE = 1_000_000  # a slip of the keyboard; common sense, no source
YEARS = range(1970, 2101)  # of a price or an order; common sense, no source
MOST_COMPARED = 200  # names that are looked at closely for the nearest one
LONGEST_SHOWN = 60  # of a value in a message; a runaway quotation mark can make half a file one value
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@lru_cache(maxsize=65_536)  # the same few names are compared thousands of times: it saves a tenth of a quote's time
def name_key(name: str) -> str:
    """Return a name as it is compared: case, hyphens, underscores and runs of spaces make no difference."""
    return " ".join(plain(name).casefold().replace("-", " ").replace("_", " ").split())


def closest(name: str, known: Collection[str]) -> str:
    """Return the known name that a misspelt one is nearest to, or an empty text where nothing is near."""
    by_key = {name_key(one): one for one in known}
    key = name_key(name)
    found = get_close_matches(key, _likeliest(key, by_key), n=1)
    return by_key[found[0]] if found else ""


def _likeliest(key: str, known: Collection[str]) -> Collection[str]:
    """Return the few of very many keys that share most pairs of letters with one: comparing all takes seconds."""
    if len(known) <= MOST_COMPARED:
        return known
    pairs = set(pairwise(key))
    return nlargest(MOST_COMPARED, known, key=lambda one: len(pairs.intersection(pairwise(one))) - len(one) / 1000)


def nearest(name: str, known: Collection[str]) -> str:
    """Return ` (did you mean "larch"?)` for a misspelt name, or an empty text where nothing is near."""
    found = closest(name, known)
    return f' (did you mean "{found}"?)' if name_key(found) not in ("", name_key(name)) else ""


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_date(text: str) -> date:
    """Return the day of `2026-11-24`, `24.11.2026` or `24 Nov 2026`; 3/4/2026 is refused as two countries read it."""
    words = plain(text).lower()
    if re.fullmatch(r"\d{1,2}/\d{1,2}/\d{2,4}", words):
        remedy = "format the column as text and write it year-month-day, like 2026-11-24"
        raise ValueError(f'"{text}" is read day first in one country and month first in another; {remedy}')
    refusal = f'"{text}" is not a date; write it year-month-day, like 2026-11-24'
    named = re.fullmatch(r"(\d{1,2})\.? ([a-z]{3})[a-z]*\.? (\d{4})", words)
    dotted = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", words)
    iso = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", words)
    if iso:
        year, month, day = iso.groups()
    elif dotted:
        day, month, year = dotted.groups()
    elif named and named[2] in _MONTHS:
        day, month, year = named[1], str(_MONTHS.index(named[2]) + 1), named[3]
    else:
        raise ValueError(refusal)
    try:
        found = date(int(year), int(month), int(day))
    except ValueError:
        raise ValueError(refusal) from None
    if found.year not in YEARS:
        raise ValueError(f'"{text}" is out of range; write a day from {YEARS[0]} to {YEARS[-1]}')
    return found


def _refuse_control_signs(text: str) -> None:
    """Raise ValueError for signs that no workbook can hold; the ends of lines are none of them."""
    if not text.isprintable() and re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]", text):
        raise ValueError(f'"{text}" holds a sign that cannot be printed; write it anew')


def _shown(text: str) -> str:
    """Return a value as a message shows it: printable, on one line and not endless."""
    line = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    return line if len(line) <= LONGEST_SHOWN else f"{line[:LONGEST_SHOWN]} ..."


@dataclass(frozen=True, kw_only=True, slots=True)
class Fields:
    """Named texts, where they stand, and the list that faults go to."""

    texts: Mapping[str, str]
    origin: Origin
    findings: Findings
    decimal_comma: bool = False
    lines: Mapping[str, int] | None = None  # line of each name, where it is not the origin's
    table: str = ""  # heading of the settings table, for what is not written in it

    def fault(self, name: str, message: str) -> None:
        """Note a fault about one of the values."""
        line = (self.lines or {}).get(name, self.origin.line)
        self.findings.fault(Origin(file=self.origin.file, line=line), message, column=name)

    def has(self, name: str) -> bool:
        """Whether something is written there."""
        return bool(self.texts.get(name, ""))

    def read(self, name: str, parse: Callable[[str], Value], stand_in: Value, *, blank: Value | None = None) -> Value:
        """Parse one text; a blank gives `blank`, or a fault where no blank is allowed."""
        text = self.texts.get(name, "")
        if not text:
            if blank is None:
                self.fault(
                    name, f"is missing; write it under [{self.table}]" if self.table else "is missing; fill it in"
                )
                return stand_in
            return blank
        try:
            _refuse_control_signs(text)
            return parse(text)
        except ValueError as reason:
            self.fault(name, str(reason).replace(text, _shown(text)))
            return stand_in

    def text(self, name: str, *, blank: str | None = None) -> str:
        """Return the text as it is written."""
        return self.read(name, str, "", blank=blank)

    def size(self, name: str) -> str:
        """Return the size of a piece of hardware as written; one that a spreadsheet turned into a date is a fault."""

        def parse(text: str) -> str:
            if looks_like_a_date(text):
                remedy = "write it with its unit, like 5/16 in, or format the column as text"
                raise ValueError(f'"{text}" looks like a fraction that a spreadsheet turned into a date; {remedy}')
            return text

        return self.read(name, parse, "")

    def length(self, name: str, *, unit: str, blank: Fraction | None = None, may_be_zero: bool = False) -> Fraction:
        """Return a length in exact inches; `unit` is what a bare number means."""
        return self.read(
            name,
            lambda text: parse_length(text, unit=unit, decimal_comma=self.decimal_comma, may_be_zero=may_be_zero),
            Fraction(1),
            blank=blank,
        )

    def area(self, name: str, *, unit: str, blank: Fraction | None = None) -> Fraction:
        """Return an area in exact square inches."""
        return self.read(
            name, lambda text: parse_area(text, unit=unit, decimal_comma=self.decimal_comma), Fraction(1), blank=blank
        )

    def number(
        self,
        name: str,
        *,
        low: int = 0,
        high: int = 1_000_000,
        above: bool = False,
        blank: Decimal | None = None,
    ) -> Decimal:
        """Return a decimal number from `low` (or above it) up to `high`; a % sign behind it makes no difference."""

        def parse(text: str) -> Decimal:
            value = parse_number(text.rstrip("% "), decimal_comma=self.decimal_comma)
            if not (low < value if above else low <= value) or value > high:
                bounds = f"above {low}, up to {high}" if above else f"from {low} to {high}"
                raise ValueError(f'"{text}" is out of range; write a number {bounds}')
            return Decimal(value.numerator) / Decimal(value.denominator)  # exact: the text was a decimal

        return self.read(name, parse, Decimal(1), blank=blank)

    def money(self, name: str, *, currency: Currency, may_be_zero: bool = False) -> Decimal:
        """Return a price, which may be finer than a cent; one of nothing is a fault, never a zero, unless it may be.

        The currency's sign or code beside the number makes no difference.
        """

        def parse(text: str) -> Decimal:
            bare = text.replace(currency.symbol.strip(), "").replace(currency.code, "").strip()
            value = parse_number(bare, decimal_comma=self.decimal_comma)
            highest = HIGHEST_PRICE * 10 ** max(0, 2 - currency.digits)
            if not (0 < value <= highest or (may_be_zero and value == 0)):
                remedy = f"write an amount above 0 and up to {highest}, or take the row out"
                if may_be_zero:
                    remedy = f"write an amount from 0 up to {highest}"
                raise ValueError(f'"{text}" is not a price; {remedy}')
            return Decimal(value.numerator) / Decimal(value.denominator)

        return self.read(name, parse, Decimal(1))

    def count(self, name: str, *, low: int = 1, high: int = 100_000, blank: int | None = None) -> int:
        """Return a whole number from `low` to `high`."""

        def parse(text: str) -> int:
            value = parse_number(text, decimal_comma=self.decimal_comma)
            if value.denominator != 1 or not low <= value <= high:
                raise ValueError(f'"{text}" does not fit here; write a whole number from {low} to {high}')
            return int(value)

        return self.read(name, parse, low, blank=blank)

    def degrees(self, name: str) -> Fraction:
        """Return an end cut in degrees off square, from -75 to 75; blank is square."""

        def parse(text: str) -> Fraction:
            bare = text.rstrip("° ").removesuffix("deg").strip()
            # An octagon's mitre is 22 1/2.
            mixed = re.fullmatch(r"([+-]?)(\d{1,3})[ -]([1-9]\d?)/([1-9]\d?)", plain(bare))
            if mixed and int(mixed[3]) < int(mixed[4]):
                sign = -1 if mixed[1] == "-" else 1
                value = sign * (int(mixed[2]) + Fraction(int(mixed[3]), int(mixed[4])))
            else:
                value = parse_number(bare, decimal_comma=self.decimal_comma)
            if abs(value) > 75:
                raise ValueError(f'"{text}" is no end cut; write the degrees off square, from -75 to 75, 0 for square')
            return value

        return self.read(name, parse, Fraction(0), blank=Fraction(0))

    def day(self, name: str, *, blank: date | None = None) -> date:
        """Return a date."""
        return self.read(name, parse_date, date.min, blank=blank)

    def choice(
        self, name: str, choices: tuple[str, ...], *, blank: str | None = None, stand_in: str | None = None
    ) -> str:
        """Return one of the given words, however it is capitalised; the first of them stands in for a faulty one."""

        def parse(text: str) -> str:
            for choice in choices:
                if name_key(choice) == name_key(text):
                    return choice
            raise ValueError(f'"{text}" is not known here; write one of: {", ".join(choices)}')

        return self.read(name, parse, choices[0] if stand_in is None else stand_in, blank=blank)
