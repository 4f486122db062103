"""Sections as woodworkers write them: nominal softwood sizes, hardwood quarters and actual sizes.

| written | read as |
|---|---|
| `2x4`, `4 x 4`, `5/4x6` | softwood by its nominal size; it measures what PS 20 gives for dry dressed lumber |
| `8/4` | hardwood of random width; rough thickness in quarters of an inch, surfaced two sides per NHLA |
| `8/4x6` | hardwood of a fixed width, which is actual. `5/4x` is softwood: that is how decking is sold |
| `27 x 145 mm`, `1 1/2 x 3 1/2 in` | the size a tape reads |
| `52 mm`, `1 3/4 in` | an actual thickness in random widths |
| `8/4x6 rough`, `52 x 160 mm rough`, `8/4 rough` | as it comes off the mill, for the shop to plane |

A bare size with a fraction that is no quarter (`3 1/2 x 3 1/2`) is refused: PS 20 has such nominal sizes (that one
measures 3 x 3), but whoever writes it has mostly measured, and the two readings differ by half an inch.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import NoReturn
from unicodedata import normalize

from estimator.standards.lumber_sizes import (
    hardwood_rough_thicknesses_in,
    hardwood_surfaced_in,
    softwood_dressed_in,
    softwood_widths_in,
)

MM_PER_IN = Fraction(127, 5)

_LARGEST_NOMINAL_IN = 16  # PS 20 ends here, so a larger bare number is taken for millimetres
_WIDEST_HARDWOOD_IN = 24  # common sense, no source: a larger number was meant as millimetres

_SIDE = re.compile(r"(?:(?:(?P<whole>\d+)[ -])?(?P<fraction>\d+/\d+)|(?P<decimal>\d+|\d*[.,]\d+)) ?(?P<unit>[a-z]*)")
_UNITS = {"mm": "mm", "in": "in", "inch": "in", "inches": "in"}
_DATE = re.compile(r"\d{1,2}-[a-z]{3}(-\d+)?|[a-z]{3}-\d{1,4}|\d{4}-\d\d-\d\d( .*)?|\d{1,2}[./]\d{1,2}[./]\d{2,4}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """Thickness and width of a piece of lumber: as it measures, and as the yard counts it."""

    text: str
    thickness_in: Fraction
    width_in: Fraction | None
    nominal_thickness_in: Fraction
    nominal_width_in: Fraction | None
    rough: bool = False

    @property
    def random_width(self) -> bool:
        """Whether the boards come as wide as the log gave them."""
        return self.width_in is None


@dataclass(frozen=True, kw_only=True, slots=True)
class _Side:
    """One number of a section, with what matters of the way it was written."""

    text: str
    value: Fraction
    unit: str
    is_quarters: bool
    is_improper: bool


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def parse_section(text: str) -> Section:
    """Return the section that a text names; ValueError with the remedy where it names none."""
    smooth = _plain(text).removesuffix(" rough")
    if smooth != _plain(text):
        return _rough_section(text, parse_section(smooth))
    sides = _read_sides(text)
    unit = _shared_unit(text, sides)
    if unit:
        return _actual_section(text, sides, unit)
    if sides[0].is_quarters:
        return _quarters_section(text, sides)
    return _softwood_section(text, sides)


def _refuse(text: str, reason: str, remedy: str) -> NoReturn:
    raise ValueError(f'"{text}" {reason}; {remedy}')


def _plain(text: str) -> str:
    """Return the text in lower case with one sign for each thing: `x`, `in`, `1/2`, single spaces."""
    text = re.sub("[¼-¾⅐-⅞]", lambda match: f" {normalize('NFKC', match[0])} ", text)
    text = text.replace("⁄", "/").replace("×", "x").replace("''", '"').lower()
    text = re.sub('["″”“]', " in ", text)
    text = re.sub("[‐‑–]", "-", text)  # the hyphens word processors put in
    text = re.sub(r"\bin\.", "in", text)
    text = re.sub(r"\s*([-/x])\s*", r"\1", text.replace("by", "x"))
    return " ".join(text.split())


def _read_sides(text: str) -> list[_Side]:
    plain = _plain(text)
    if not plain:
        raise ValueError("a section is missing; write it like 2x4, 8/4 or 27 x 145 mm")
    if _DATE.fullmatch(plain):
        remedy = "format the column as text and write it again, like 8/4"
        _refuse(text, "looks like a quarter size that a spreadsheet turned into a date", remedy)
    sides = [_read_side(text, written) for written in plain.split("x")]
    if len(sides) > 2:
        remedy = "write thickness and width only, like 2x4; the length has its own column"
        _refuse(text, "has more than two sides", remedy)
    return sides


def _read_side(text: str, written: str) -> _Side:
    remedy = "write it like 2x4, 5/4x6, 8/4, 27 x 145 mm or 1 1/2 x 3 1/2 in"
    match = _SIDE.fullmatch(written)
    if match is None or re.search(r",\d{3}$", match["decimal"] or ""):
        # A comma before three digits could group thousands or start the decimals.
        _refuse(text, "is not a section", remedy)
    unit = match["unit"]
    if unit and unit not in _UNITS:
        _refuse(text, f'has the unit "{unit}"', "write the size in mm or in, like 27 x 145 mm")
    top, bottom = (int(number) for number in (match["fraction"] or "0/1").split("/"))
    value = Fraction((match["decimal"] or match["whole"] or "0").replace(",", "."))
    if bottom == 0 or value + top == 0:
        _refuse(text, "has a side of no size", remedy)
    return _Side(
        text=written.removesuffix(unit).strip(),
        value=value + Fraction(top, bottom),
        unit=_UNITS.get(unit, ""),
        is_quarters=bottom == 4 and top >= 4 and not match["whole"],
        is_improper=top >= bottom,
    )


def _shared_unit(text: str, sides: list[_Side]) -> str:
    """Return the unit written, which holds for both sides wherever it stands: `27 x 145 mm`, `27 mm x 145`."""
    units = {side.unit for side in sides if side.unit}
    if len(units) > 1:
        _refuse(text, "mixes millimetres and inches", "write both sides in one unit, like 27 x 145 mm")
    return units.pop() if units else ""


def _actual_section(text: str, sides: list[_Side], unit: str) -> Section:
    if any(side.is_improper for side in sides):
        remedy = "write quarters bare for the nominal size, like 8/4 or 5/4x6, or the measured size, like 1 x 5 1/2 in"
        _refuse(text, "has quarters and a unit", remedy)
    if unit == "mm" and any("/" in side.text for side in sides):
        _refuse(text, "has a fraction of a millimetre", "write it as a decimal, like 27.5 x 145 mm")
    values = [side.value for side in sides]
    if values != sorted(values):
        swapped = _actual_text(values[::-1], unit)
        _refuse(text, "has the wider side first", f"write the thickness first: {swapped}")
    inches = [value / MM_PER_IN if unit == "mm" else value for value in values]
    width_in = inches[1] if len(inches) == 2 else None
    return Section(
        text=_actual_text(values, unit),
        thickness_in=inches[0],
        width_in=width_in,
        nominal_thickness_in=inches[0],
        nominal_width_in=width_in,
    )


def _quarters_section(text: str, sides: list[_Side]) -> Section:
    thickness = sides[0]
    if len(sides) == 2 and thickness.value == Fraction(5, 4):
        return _softwood_section(text, sides)
    if thickness.value not in hardwood_rough_thicknesses_in():
        known = ", ".join(_quarters_text(value) for value in hardwood_rough_thicknesses_in())
        _refuse(text, f"is no thickness that hardwood is sold in ({known})", "write the measured size, like 1 7/8 in")
    surfaced_in = hardwood_surfaced_in(thickness.value)
    quarters = _quarters_text(thickness.value)
    width_in = None
    if len(sides) == 2:
        width_in = sides[1].value
        if sides[1].is_improper:
            _refuse(text, "has its width in quarters", f"write the width in inches, like {quarters}x6")
        if width_in > _WIDEST_HARDWOOD_IN:
            _refuse(text, "is wider than a board", f"write the width in inches, like {quarters}x6")
        if width_in < thickness.value:
            _refuse(text, "is narrower than it is thick", "write the measured size, like 1 x 1 3/4 in")
    return Section(
        text=quarters if width_in is None else f"{quarters}x{_inches_text(width_in)}",
        thickness_in=surfaced_in,
        width_in=width_in,
        nominal_thickness_in=thickness.value,
        nominal_width_in=width_in,
    )


def _rough_section(text: str, smooth: Section) -> Section:
    """Return the section of a board before it is surfaced."""
    if smooth.width_in != smooth.nominal_width_in:
        remedy = "write what the rough board measures, like 1 7/8 x 6 in rough"
        _refuse(text, "is a nominal size, which softwood has only once it is dressed", remedy)
    return replace(smooth, text=f"{smooth.text} rough", thickness_in=smooth.nominal_thickness_in, rough=True)


def _softwood_section(text: str, sides: list[_Side]) -> Section:
    if len(sides) == 1:
        unit = "mm" if sides[0].value > _LARGEST_NOMINAL_IN else "in"
        remedy = f"write {sides[0].text} {unit} for a thickness in random widths, or both sides, like 2x4"
        _refuse(text, "is one number without a unit", remedy)
    thickness, width = sides
    if max(thickness.value, width.value) > _LARGEST_NOMINAL_IN:
        remedy = f"write {thickness.text} x {width.text} mm"
        _refuse(text, "is larger than any nominal size, so it looks like millimetres", remedy)
    if thickness.is_quarters and width.value.denominator != 1:
        _refuse(text, "mixes a nominal and a measured size", "write 5/4x6 for decking, or all measured: 1 x 5 1/2 in")
    if width.value.denominator != 1 or not (thickness.is_quarters or thickness.value.denominator == 1):
        measured = f"{thickness.text} x {width.text} in"
        remedy = f"write {measured} if that is what a tape reads, or the yard's whole numbers, like 2x4"
        _refuse(text, "could be a nominal or a measured size", remedy)
    if width.value < thickness.value:
        _refuse(text, "has the wider side first", f"write the thickness first: {width.text}x{thickness.text}")
    try:
        thickness_in, width_in = softwood_dressed_in(nominal_thickness_in=thickness.value, nominal_width_in=width.value)
    except KeyError:
        _refuse_softwood(text, thickness)
    return Section(
        text=f"{_softwood_thickness_text(thickness.value)}x{width.value}",
        thickness_in=thickness_in,
        width_in=width_in,
        nominal_thickness_in=thickness.value,
        nominal_width_in=width.value,
    )


def _refuse_softwood(text: str, thickness: _Side) -> NoReturn:
    widths = [
        str(width_in)
        for width_in in softwood_widths_in(thickness.value)
        if width_in.denominator == 1 and width_in >= thickness.value
    ]
    sold = f"{thickness.text}x comes {', '.join(widths)} in wide" if widths else f"none is {thickness.text} thick"
    remedy = "write the measured size with its unit, like 1 1/2 x 6 1/2 in"
    _refuse(text, f"is no size that softwood is sold in: {sold}", remedy)


def _softwood_thickness_text(thickness_in: Fraction) -> str:
    return str(thickness_in) if thickness_in.denominator == 1 else _quarters_text(thickness_in)


def _quarters_text(thickness_in: Fraction) -> str:
    return f"{thickness_in * 4}/4"


def _actual_text(values: list[Fraction], unit: str) -> str:
    number_text = _millimetres_text if unit == "mm" else _inches_text
    return " x ".join(number_text(value) for value in values) + f" {unit}"


def _millimetres_text(value: Fraction) -> str:
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


def _inches_text(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
