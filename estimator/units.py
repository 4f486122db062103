"""Lengths, areas and volumes as woodworkers write them: text to exact numbers and back.

Inside the program lengths are exact `Fraction`s of an inch, areas square feet, liquids US gallons. Conversion happens
here and at the edges only. Factors: GNU Units 3.22 database (inch = 25.4 mm exactly, US gallon = 231 cubic inches).
"""

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import floor, gcd, log10

MM_PER_IN = Fraction(254, 10)
CM2_PER_IN2 = float(MM_PER_IN**2 / 100)
IN2_PER_FT2 = 144
IN3_PER_FT3 = 1728
M2_PER_FT2 = Fraction(3048, 10000) ** 2
IN3_PER_GAL = 231
L_PER_GAL = IN3_PER_GAL * MM_PER_IN**3 / 1_000_000
IN3_PER_M3 = Fraction(1000**3) / MM_PER_IN**3
KG_PER_LB = Fraction("0.45359237")

LENGTH_HELP = "write 24, 24 1/2, 24.5 in, 5' 3 1/2\" or 610 mm"
LONGEST_IN = 12 * 200
MOST_DIGITS = 28  # as many as decimal arithmetic keeps; nothing that is measured or paid has more

_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("″”“„‟", '"'),
        **dict.fromkeys("′’‘‚‛`´", "'"),
        **dict.fromkeys("–—−‐‑", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t", " "),
        "⁄": "/",
        "×": "x",  # the sign people paste
    }
)
_IN_UNITS = {"in": 1, "in.": 1, "inch": 1, "inches": 1, '"': 1, "''": 1}
_FT_UNITS = {"'": 12, "ft": 12, "ft.": 12, "foot": 12, "feet": 12}
_METRIC_UNITS = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_UNIT_IN: dict[str, Fraction] = {
    **{name: Fraction(size) for name, size in (_IN_UNITS | _FT_UNITS).items()},
    **{name: size / MM_PER_IN for name, size in _METRIC_UNITS.items()},
}
_NUMBER = r"\d+(?:[ -]+\d{1,4}/\d{1,4}|/\d{1,4}|[.,]\d+)?|[.,]\d+"
_UNIT = r"[a-z]+\.?|''|[\"']"
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE = re.compile(
    rf"\d{{1,2}}([./])\d{{1,2}}\1(?:\d{{2}}|\d{{4}})|\d{{4}}-\d{{1,2}}-\d{{1,2}}|(?:\d{{1,2}}[-. ]+)?{_MONTH}[-. ]*\d*"
)
_LENGTH = re.compile(
    rf"(?P<first>{_NUMBER}) ?(?P<unit>{_UNIT})?(?: ?-? ?(?P<second>{_NUMBER}) ?(?P<second_unit>{_UNIT})?)?"
)


def plain(text: str) -> str:
    """Text with curly quotes, primes, odd dashes, odd spaces and one-sign fractions written plainly."""
    if not text.isascii():  # long price lists are mostly plain already
        for sign, fraction in _VULGAR.items():
            text = re.sub(rf"(?<=\d) ?{sign}", f" {fraction}", text).replace(sign, fraction)
    return " ".join(text.translate(_PLAIN).split())


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_number(text: str, *, decimal_comma: bool = False) -> Fraction:
    """Return the exact value of a plain decimal number: `22`, `22.25`, `1,250.00`; with decimal_comma `22,25`.

    The other mark is read too where it cannot group thousands: `22,5` is 22.5 in every file. One mark with exactly
    three digits behind it could be either (`1,250`), so it is refused rather than guessed. Raises ValueError with the
    remedy.
    """
    mark, other = (",", ".") if decimal_comma else (".", ",")
    compact = re.sub(r"(?<=\d) (?=\d{3}(?!\d))", "", plain(text))  # 1 250 000: spaces may group thousands
    if re.fullmatch(rf"[+-]?[1-9]\d{{0,2}}\{other}\d{{3}}", compact):
        both = compact.replace(other, ""), compact.replace(other, mark)
        raise ValueError(f'"{text}" could mean two numbers; write {both[0]} or {both[1]}')
    if re.fullmatch(rf"[+-]?[1-9]\d{{0,2}}(?:\{other}\d{{3}})+(?:\{mark}\d+)?", compact):
        compact = compact.replace(other, "")
    elif re.fullmatch(rf"[+-]?\d*\{other}\d+", compact):
        compact = compact.replace(other, mark)
    if len(compact) > MOST_DIGITS or not re.fullmatch(rf"[+-]?(?:\d+(?:\{mark}\d*)?|\{mark}\d+)", compact):
        example = "22,5" if decimal_comma else "22.5"
        raise ValueError(f'"{text}" is not a number; write it like 22 or {example}')
    return Fraction(compact.replace(mark, "."))


def _mixed_number(text: str, *, decimal_comma: bool) -> Fraction:
    """Return the value of `22`, `22.25`, `1/4`, `22 1/4` or `22-1/4`."""
    whole, _, rest = text.replace("-", " ").rpartition(" ")
    if "/" not in rest:
        return parse_number(text, decimal_comma=decimal_comma)
    top, bottom = rest.split("/")
    if int(bottom) == 0:
        raise ValueError("a fraction over 0")
    if whole and int(top) >= int(bottom):
        raise ValueError("a fraction of 1 or more behind a whole number")
    return Fraction(int(whole or 0)) + Fraction(int(top), int(bottom))


def looks_like_a_date(text: str) -> bool:
    """Whether a text is what a spreadsheet program makes of `5/16` or `3/4`: a day and a month."""
    return _DATE.fullmatch(plain(text).lower()) is not None


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_length(text: str, *, unit: str, decimal_comma: bool = False, may_be_zero: bool = False) -> Fraction:
    """Return a length in exact inches; `unit` ("in" or "mm") is what a bare number means.

    Reads `22 1/4`, `22-1/4"`, `22.25 in`, `5' 3 1/2"`, `5 ft 3 in`, `600 mm`, `60 cm`, `0.6 m`. Raises ValueError
    with the remedy for everything else, for more than 200 ft, and for zero unless it may be.
    """
    refusal = f'"{text}" is not a length; {LENGTH_HELP}'
    if looks_like_a_date(text):
        remedy = "format the column as text and write it again, like 3/4"
        raise ValueError(f'"{text}" looks like a fraction that a spreadsheet turned into a date; {remedy}')
    match = _LENGTH.fullmatch(plain(text).lower())
    if match is None:
        raise ValueError(refusal)
    first_unit = match["unit"] or unit
    if first_unit not in _UNIT_IN:
        raise ValueError(refusal)
    if first_unit in _METRIC_UNITS and "/" in match["first"]:
        raise ValueError(f'"{text}" has a fraction of a metric unit; write it as a decimal, like 12.5 mm')
    try:
        length = _mixed_number(match["first"], decimal_comma=decimal_comma) * _UNIT_IN[first_unit]
        if match["second"]:
            if match["unit"] not in _FT_UNITS or (match["second_unit"] or "in") not in _IN_UNITS:
                raise ValueError(refusal)  # noqa: TRY301 - one refusal for all of them
            inches = _mixed_number(match["second"], decimal_comma=decimal_comma)
            if inches >= 12 or length % 12:
                raise ValueError(refusal)  # noqa: TRY301 - as above
            length += inches
    except ValueError as reason:
        if "could mean two" in str(reason):
            raise
        raise ValueError(refusal) from None
    if not (0 < length <= LONGEST_IN or (may_be_zero and length == 0)):
        low = "from" if may_be_zero else "above"
        raise ValueError(f'"{text}" is out of range; write a length {low} 0, up to 200 ft')
    return length


def parse_area(text: str, *, unit: str, decimal_comma: bool = False) -> Fraction:
    """Return an area in exact square inches: `12.5 in2`, `80 cm2`, or a rectangle `1 1/2 x 3 1/2`."""
    words = plain(text).lower()
    sides = re.split(r" ?x ?", words)
    if len(sides) == 2:
        written = [found[0] for side in sides if (found := re.search(r"(?:[a-z]+\.?|''|[\"'])$", side))]
        if len(written) == 1 and written[0] in _UNIT_IN:  # `20 x 90 mm` means millimetres both ways
            sides = [side if side.endswith(written[0]) else f"{side} {written[0]}" for side in sides]
        first, second = (parse_length(side, unit=unit, decimal_comma=decimal_comma) for side in sides)
        return first * second
    match = re.fullmatch(r"(?P<number>[\d.,]+) ?(?P<unit>in|mm|cm|m|ft)(?:2|²|\^2)", words)
    if match is None:
        raise ValueError(f'"{text}" is not an area; write 1 1/2 x 3 1/2, 5.25 in2 or 34 cm2')
    return parse_number(match["number"], decimal_comma=decimal_comma) * _UNIT_IN[match["unit"]] ** 2


def decimal_text(value: Fraction | Decimal | float, digits: int) -> str:
    """Write a number with at most so many decimals and no trailing zeros: `12.5`, `3`."""
    text = f"{float(value):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def amount_text(value: Fraction | Decimal | float, digits: int) -> str:
    """Write an amount with so many decimals, and one too small for them with two figures: `0.39`, `0.0042`."""
    size = abs(float(value))
    too_small = 0 < size < 10**-digits
    return f"{float(value):.{1 - floor(log10(size)) if too_small else digits}f}"


def inch_text(length_in: Fraction, *, mark: str = " in") -> str:
    """Write inches as a mixed number, rounded to 1/64 in if need be: `22 1/4 in`, `1/8 in`."""
    whole, part = divmod(_to_64ths(length_in), 1)
    fraction = f"{part.numerator}/{part.denominator}" if part else ""
    return " ".join(filter(None, [str(whole) if whole or not part else "", fraction])) + mark


def _to_64ths(length_in: Fraction) -> Fraction:
    return Fraction(round(length_in * 64), 64)


def length_text(length_in: Fraction, unit: str) -> str:
    """Write a length in the unit of the build: `22 1/4 in` or `610 mm` (to 0.01 mm)."""
    return inch_text(length_in) if unit == "in" else f"{decimal_text(length_in * MM_PER_IN, 2)} mm"


def area_text(area_in2: float, unit: str) -> str:
    """Write a small area in the unit of the build: `5.25 in2` or `33.9 cm2`."""
    return f"{decimal_text(area_in2, 2)} in2" if unit == "in" else f"{decimal_text(area_in2 * CM2_PER_IN2, 1)} cm2"


@lru_cache(maxsize=4096)  # a long price list has the same few lengths of every wood
def board_length_text(length_in: Fraction, unit: str) -> str:
    """Write a board's length as the yard does: `12 ft`, `10 ft 6 in`, `3 m`."""
    if unit == "mm":
        return f"{decimal_text(length_in * MM_PER_IN / 1000, 3)} m"
    feet, inches = divmod(_to_64ths(length_in), 12)
    return f"{feet} ft" + (f" {inch_text(inches)}" if inches else "")


def common_step(lengths: tuple[Fraction, ...]) -> Fraction:
    """Return the largest length of which every given length is a whole multiple."""
    bottom = 1
    for length in lengths:
        bottom = bottom * length.denominator // gcd(bottom, length.denominator)
    top = 0
    for length in lengths:
        top = gcd(top, int(length * bottom))
    return Fraction(top, bottom)
