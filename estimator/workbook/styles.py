"""How cells look: a small set of styles, and the few ways in which one follows from another.

A style is a plain record; the book turns each one it meets into a named style of the file. Named styles are also the
quick way: new font, fill and border objects for every cell took thirteen times as long.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

from estimator.money import Currency

# Named, because a font without a name comes out with serifs in LibreOffice; Arial, because every program has it or a
# font of the same widths.
FONT = "Arial"

INK = "2E2A25"
UMBER = "54402F"
STONE = "7B7268"
SAND = "EDE6DA"
HAIRLINE = "D8D0C3"
CREAM = "FFF8E3"
RUST = "97411F"
BLUSH = "FAEAE1"
WOOD = "E7CFA8"
SAGE = "DFE6D3"
CLAY = "C9BFB2"
ASH = "E4E2DE"
CHART_COLOURS = ("6B4F36", "B98A4B", "7C8A5C", "C9B79A", "5E6B70", "97411F")

BorderKind = Literal["none", "below", "box", "total"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """How one kind of cell looks. The name is what a reader finds in the list of cell styles."""

    name: str
    number_format: str = "General"
    size_pt: float = 10
    bold: bool = False
    italic: bool = False
    colour: str = INK
    fill: str = ""
    border: BorderKind = "none"
    horizontal: Literal["left", "center", "right"] = "left"
    indent: int = 0
    wrap: bool = False
    rotated: bool = False


TITLE = Style(name="Sheet title", size_pt=18, bold=True, colour=UMBER)
SUBTITLE = Style(name="Sheet subtitle", size_pt=10, colour=STONE)
SECTION = Style(name="Section", size_pt=12, bold=True, colour=UMBER)
HEADING = Style(name="Column heading", bold=True, colour=UMBER, fill=SAND, border="below", wrap=True, indent=1)
TEXT = Style(name="Line text", border="below", indent=1)
WRAPPED = replace(TEXT, name="Line text, wrapped", wrap=True)
NOTE = Style(name="Remark", size_pt=9, italic=True, colour=STONE, wrap=True)
WARNING = Style(name="Caution", colour=RUST, fill=BLUSH, border="below", wrap=True, indent=1)
# Not `#,##0.##`, which shows 2 as "2." in Excel. No indent at the right: LibreOffice 7 draws it in some cells and
# leaves it out in the next, and a column of amounts comes out ragged.
NUMBER = Style(name="Line number", border="below", horizontal="right")
WHOLE = replace(NUMBER, name="Whole number", number_format="#,##0")
PERCENT = replace(NUMBER, name="Percentage", number_format="0.0%")
# Year first is the order every reader takes the same way; it is also how the price tables write their dates.
DATE = replace(NUMBER, name="Day", number_format="yyyy-mm-dd")
OLD_DATE = replace(DATE, name="Day of an old price", colour=RUST, fill=BLUSH)

_FINEST_FRACTION = 64


def decimals(places: int) -> Style:
    """Return the style of a number with so many decimal places, for example 3 for board feet and 2 for hours."""
    return replace(NUMBER, name=f"Number, {places} decimals", number_format=f"#,##0.{'0' * places}")


def money(currency: Currency) -> Style:
    """Return the style of an amount, with the sign and the decimals of its currency, as `Currency.text` writes it."""
    return _money(currency, currency.digits, f"Money, {currency.code}")


def price(currency: Currency, amount: Decimal) -> Style:
    """Return the style of a price: as an amount, with more decimals where the price table writes parts of a coin."""
    digits = -int(amount.normalize().as_tuple().exponent)
    if digits <= currency.digits:
        return money(currency)
    return _money(currency, digits, f"Money, {currency.code}, {digits} decimals")


def _money(currency: Currency, digits: int, name: str) -> Style:
    places = f".{'0' * digits}" if digits else ""
    return replace(NUMBER, name=name, number_format=f'"{currency.symbol}"#,##0{places}')


def length_in(length_in: Fraction) -> Style:
    """Return the style for one length in inches: a fraction with the very denominator it has, down to 1/64.

    One format for all would round: `# ??/16` shows 22 17/64 as 22 4/16 and 1/32 as 0. Lengths that are no such
    fraction, as millimetres seldom are, get three decimals.
    """
    denominator = length_in.denominator
    if denominator == 1:
        number_format, name = '0"″"', "Inches"
    elif denominator > _FINEST_FRACTION or _FINEST_FRACTION % denominator:
        number_format, name = '0.000"″"', "Inches, decimals"
    else:
        digits = "?" * len(str(denominator))
        whole = "# " if abs(length_in) > 1 else ""
        number_format = f'{whole}{digits}/{denominator}"″"'
        name = f"Inches, 1/{denominator}" if whole else f"Part of an inch, 1/{denominator}"
    return replace(NUMBER, name=name, number_format=number_format)


def length_mm(length_mm: Fraction) -> Style:
    """Return the style for one length in millimetres: whole where it is whole, else to a tenth."""
    if length_mm.denominator == 1:
        return replace(NUMBER, name="Millimetres", number_format='0 "mm"')
    return replace(NUMBER, name="Millimetres, tenths", number_format='0.0 "mm"')


def as_total(style: Style) -> Style:
    """Return the same style for the last line of a table."""
    return replace(style, name=f"{style.name}, total", bold=True, border="total")


def as_input(style: Style) -> Style:
    """Return the same style for a cell a reader may change; the sheet says beside it what follows from it."""
    return replace(style, name=f"{style.name}, yours to change", fill=CREAM, border="box")


def aligned(style: Style, horizontal: Literal["left", "center", "right"]) -> Style:
    """Return the same style at another side of its cell; only text at the left is indented."""
    if style.horizontal == horizontal:
        return style
    indent = style.indent if horizontal == "left" else 0
    return replace(style, name=f"{style.name}, {horizontal}", horizontal=horizontal, indent=indent)


def named_style(style: Style) -> NamedStyle:
    """Return the style as the spreadsheet library wants it."""
    font = Font(name=FONT, size=style.size_pt, bold=style.bold, italic=style.italic, color=style.colour)
    alignment = Alignment(
        horizontal=style.horizontal,
        vertical="center",
        indent=style.indent,
        wrap_text=style.wrap,
        text_rotation=90 if style.rotated else 0,
    )
    fill = PatternFill("solid", start_color=style.fill) if style.fill else PatternFill()
    return NamedStyle(
        name=style.name,
        font=font,
        fill=fill,
        border=_border(style.border),
        alignment=alignment,
        number_format=style.number_format,
    )


def _border(kind: BorderKind) -> Border:
    hairline, line = Side("thin", HAIRLINE), Side("thin", STONE)
    match kind:
        case "none":
            return Border()
        case "below":
            return Border(bottom=hairline)
        case "box":
            return Border(left=line, right=line, top=line, bottom=line)
        case "total":
            return Border(top=Side("medium", UMBER))
