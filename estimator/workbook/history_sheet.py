"""The workbook of `estimator prices history`: what items have cost, a row a price, and charts of those that changed.

A price holds until the next one, so a chart runs level and then steps. Spreadsheets draw no such line by themselves: on
a sheet behind the charts each price stands twice, on the day it came and on the day it went.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil

from estimator.keeping.history import ItemHistory, PriceChange, shown_price
from estimator.keeping.price_measures import per_words
from estimator.money import Currency
from estimator.reading.shop import Shop
from estimator.reading.suppliers import Suppliers
from estimator.workbook.cells import ROW_HEIGHT_PT, Book, Sheet
from estimator.workbook.charts import ChartFrame, ChartValues, day_number, put_steps
from estimator.workbook.leaf import FIRST_ROW
from estimator.workbook.page import set_up_page, start_new_page
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import DATE, NUMBER, SECTION, SUBTITLE, TEXT, TITLE, WRAPPED, Style
from estimator.workbook.styles import price as price_style
from estimator.workbook.table import Column, PlacedTable, write_table

MOST_CHARTS = 6
CHARTS_A_PAGE = 3
CHART_WIDTH_CM = 18
CHART_HEIGHT_CM = 6.8
CHART_ROWS = ceil(CHART_HEIGHT_CM / 2.54 * 72 / ROW_HEIGHT_PT) + 1
PRICE_COLUMN = 5
SMALL_SPAN = Decimal("0.25")  # of prices, as a share of the highest; common practice, no source
RISE = replace(NUMBER, name="Rise", number_format="+0.0%;-0.0%;0.0%")


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A row of the table: a price, the one before it, and its number among all rows, from 0 on."""

    change: PriceChange
    before: Decimal | None
    number: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Corner:
    """A corner of a step line: the price of one line of the table, on the day of a line, or on the last day of all."""

    priced: Line
    price: Decimal
    day: date
    dated: Line | None
    stretch: int


def history_workbook(
    histories: Sequence[ItemHistory], words: str, shop: Shop, suppliers: Suppliers, today: date
) -> bytes:
    """Return the file with all prices found by these words, and charts of the items that changed most often."""
    book, items = Book(), _lines(histories)
    changed = [lines for lines in items if _times_changed(lines)]
    charted = [lines for lines in changed if lines in sorted(changed, key=_drawn_first)[:MOST_CHARTS]]
    sheet = book.add_sheet("Price history")
    _begin(sheet, shop, "Price history", f"What was found for: {words}, up to {today}", landscape=True)
    all_lines = [line for lines in items for line in lines]
    table = write_table(sheet, _columns(sheet, suppliers, all_lines), all_lines, row=FIRST_ROW)
    if charted:
        charts, corners = book.add_sheet("Charts"), book.add_sheet("Behind the charts")
        shown = "" if charted == changed else f" {_shown_words(charted, changed)}"
        _begin(charts, shop, "Prices over time", f"Each price until the next one.{shown}", landscape=False)
        subtitle = "What the charts are drawn from: each price twice, on the day it came and on the day it went."
        _begin(corners, shop, "Behind the charts", subtitle, landscape=False)
        _write_charts(charts, corners, charted, table, suppliers, today)
    return workbook_bytes(book, on=today, title=f"Price history: {words}")


def _lines(histories: Sequence[ItemHistory]) -> list[list[Line]]:
    """Return the lines of each item, all of them numbered through."""
    items: list[list[Line]] = []
    number = 0
    for history in histories:
        prices = [None, *(change.price for change in history.changes)]
        items.append([
            Line(change=change, before=before, number=number + place)
            for place, (change, before) in enumerate(zip(history.changes, prices, strict=False))
        ])  # fmt: skip
        number += len(history.changes)
    return items


def _times_changed(lines: Sequence[Line]) -> int:
    """Return how often the price of an item changed; that it was gone is no change of price."""
    prices = [line.change.price for line in lines if line.change.price is not None]
    return sum(before != after for before, after in pairwise(prices))


def _is_sold(lines: Sequence[Line]) -> bool:
    return lines[-1].change.price is not None


def _drawn_first(lines: Sequence[Line]) -> tuple[bool, int]:
    """Return the place of an item among those to be drawn: goods still sold, and of these what changed most often."""
    return not _is_sold(lines), -_times_changed(lines)


def _shown_words(charted: Sequence[Sequence[Line]], changed: Sequence[Sequence[Line]]) -> str:
    still_sold = sum(map(_is_sold, changed))
    if still_sold < len(charted):
        return f"Shown are {len(charted)} of {len(changed)} that changed, those still sold first."
    of = f"{still_sold} still sold" if still_sold < len(changed) else f"{len(changed)}"
    return f"Shown are the {len(charted)} of {of} that changed most often."


def _begin(sheet: Sheet, shop: Shop, title: str, subtitle: str, *, landscape: bool) -> None:
    sheet.put_text(1, 1, title, TITLE)
    sheet.put_text(2, 1, subtitle, SUBTITLE)
    set_up_page(
        sheet,
        paper="letter" if shop.unit == "in" else "A4",
        landscape=landscape,
        footer=f"{shop.name}  ·  {title}",
        heading_row=FIRST_ROW if landscape else None,
    )


def _columns(sheet: Sheet, suppliers: Suppliers, lines: Sequence[Line]) -> tuple[Column[Line], ...]:
    """Return the columns; what prices were worked out from stands in the last, where some were."""
    worked_out = Column[Line](
        name="written",
        heading="Worked out from",
        width=22,
        style=WRAPPED,
        value=lambda line: _written(line, suppliers),
    )
    return (
        Column(name="day", heading="Day", width=12, style=DATE, value=lambda line: line.change.day),
        Column(name="supplier", heading="Supplier", width=26, style=WRAPPED, value=lambda line: line.change.supplier),
        Column(name="item", heading="Item", width=44, style=WRAPPED, value=lambda line: line.change.item),
        Column(name="per", heading="Per", width=10, style=TEXT, value=lambda line: line.change.per),
        Column(
            name="price",
            heading="Price",
            width=12,
            style=lambda line: _price_style(suppliers, [line]),
            value=lambda line: line.change.price,
        ),
        Column(
            name="change",
            heading="Change",
            width=10,
            style=RISE,
            value=_rise,
            formula=lambda line, at: _rise_formula(sheet, line, at["price"]),
        ),
        Column(name="source", heading="From", width=30, style=WRAPPED, value=lambda line: line.change.source),
        *([worked_out] if any(line.change.written for line in lines) else []),
    )


def _written(line: Line, suppliers: Suppliers) -> str:
    written = line.change.written
    if written is None or written.price is None:
        return ""
    return f"{shown_price(written.price, suppliers.currency_of(written.supplier))} {per_words(written.per)}"


def _rise(line: Line) -> Fraction | str | None:
    now, before = line.change.price, line.before
    if now is None:
        return "gone"
    return Fraction(now) / Fraction(before) - 1 if before else None


def _rise_formula(sheet: Sheet, line: Line, price_ref: str) -> str | None:
    """Return the formula, from the price in the row above; nothing where one of the two is missing."""
    if line.change.price is None or line.before is None:
        return None
    above = sheet.place(FIRST_ROW + line.number, PRICE_COLUMN).ref
    return f"={price_ref}/{above}-1"


def _price_style(suppliers: Suppliers, lines: Sequence[Line]) -> Style:
    """Return the style of the prices of one supplier, with the decimals of the finest of them."""
    amounts = [line.change.price for line in lines if line.change.price is not None]
    finest = min(amounts, key=lambda amount: amount.normalize().as_tuple().exponent, default=Decimal(1))
    return price_style(suppliers.currency_of(lines[0].change.supplier), finest)


def _write_charts(
    charts: Sheet, behind: Sheet, items: Sequence[Sequence[Line]], table: PlacedTable, suppliers: Suppliers, today: date
) -> None:
    row = FIRST_ROW
    for place, lines in enumerate(items):
        last_day = max(today, lines[-1].change.day)
        corners = tuple(_corners(lines, last_day))
        behind.put_text(row, 1, f"{lines[0].change.item}, {lines[0].change.supplier}", SECTION)
        style = _price_style(suppliers, lines)
        placed = write_table(behind, _corner_columns(table, style), corners, row=row + 1)
        top = FIRST_ROW + place * CHART_ROWS
        if place and place % CHARTS_A_PAGE == 0:
            start_new_page(charts, top)
        put_steps(
            charts,
            charts.place(top, 1),
            _frame(lines, style, suppliers.currency_of(lines[0].change.supplier)),
            _stretches(corners, placed),
            lines[0].change.day,
            last_day,
        )
        row = placed.next_row + 1


def _corners(lines: Sequence[Line], last_day: date) -> Iterator[Corner]:
    """Yield the corners of a step line in their order; where the item was gone, another stretch begins."""
    stretch = 0
    for line, following in zip(lines, (*lines[1:], None), strict=True):
        if line.change.price is None:
            stretch += 1
        else:
            end = following.change.day if following else last_day
            price = line.change.price
            yield Corner(priced=line, price=price, day=line.change.day, dated=line, stretch=stretch)
            yield Corner(priced=line, price=price, day=end, dated=following, stretch=stretch)


def _corner_columns(table: PlacedTable, style: Style) -> tuple[Column[Corner], ...]:
    def from_table(name: str, line: Line | None) -> str | None:
        return None if line is None else f"={table.cell(name, line.number).full_ref}"

    return (
        Column(
            name="day",
            heading="Day",
            width=14,
            style=DATE,
            value=lambda corner: corner.day,
            formula=lambda corner, _: from_table("day", corner.dated),
        ),
        Column(
            name="price",
            heading="Price",
            width=14,
            style=style,
            value=lambda corner: corner.price,
            formula=lambda corner, _: from_table("price", corner.priced),
        ),
    )


def _frame(lines: Sequence[Line], style: Style, currency: Currency) -> ChartFrame:
    change = lines[-1].change
    y_from = _axis_start([line.change.price for line in lines if line.change.price is not None])
    title = f"price {per_words(change.per)}".rstrip()
    return ChartFrame(
        title=f"{change.item}, {change.supplier}",
        y_title=f"{title}, from {shown_price(y_from, currency)} up" if y_from else title,
        y_format=style.number_format,
        y_from=y_from,
        width_cm=CHART_WIDTH_CM,
        height_cm=CHART_HEIGHT_CM,
    )


def _axis_start(prices: Sequence[Decimal]) -> Decimal:
    """Return where an axis of prices begins: at zero, or a round figure below all of them where they are close.

    From zero, changes by less than a quarter of the height hardly show.
    """
    low, high = min(prices), max(prices)
    if high - low > SMALL_SPAN * high:
        return Decimal(0)
    step = Decimal(10) ** (high - low).adjusted()  # one figure of the span: 0.1 for 0.35
    return max(Decimal(0), ((low - (high - low) / 4) / step).to_integral_value(ROUND_FLOOR) * step)


def _stretches(corners: Sequence[Corner], placed: PlacedTable) -> list[tuple[ChartValues, ChartValues]]:
    """Return the days and the prices of each stretch of a step line."""
    stretches = []
    for _, some in groupby(enumerate(corners), key=lambda one: one[1].stretch):
        places, stretch = zip(*some, strict=True)
        rows = {"first_row": placed.first_row + places[0], "last_row": placed.first_row + places[-1]}
        days = replace(placed.column("day"), **rows)
        prices = replace(placed.column("price"), **rows)
        stretches.append((
            ChartValues(title="day", area=days, values=tuple(day_number(corner.day) for corner in stretch)),
            ChartValues(title="price", area=prices, values=tuple(corner.price for corner in stretch)),
        ))  # fmt: skip
    return stretches
