"""Comparison: one unit at each quantity, what it saves against one made alone, and two charts."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from estimator.costing.compare import Comparison, QuantityCost
from estimator.workbook.cells import ROW_HEIGHT_PT, Sheet
from estimator.workbook.charts import ChartFrame, ChartValues, put_curves, put_stacked_columns
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.letters import text_digits
from estimator.workbook.page import start_new_page
from estimator.workbook.styles import SECTION, WHOLE, Style, decimals
from estimator.workbook.table import Column, PlacedTable, write_table

CHART_WIDTH_CM = 16
SECOND_CHART_COLUMN = 8  # the columns before it are a little wider than a chart
CHART_HEIGHT_CM = 8
CHART_PT = CHART_HEIGHT_CM / 2.54 * 72
CHART_ROWS = ceil(CHART_PT / ROW_HEIGHT_PT) + 1
PAGE_PT = {"letter": 670, "A4": 605}  # rows that a landscape page holds once both charts fit its width


def write_comparison(sheet: Sheet, setting: Setting, comparisons: Sequence[Comparison]) -> None:
    """Write for each build a table by quantity, the savings by cause, and the charts."""
    begin_sheet(
        sheet,
        setting,
        title="One against a dozen",
        subtitle="Cost and price of one, each build made on its own. Every quantity was planned anew by the program.",
        landscape=True,
        heading_row=None,
    )
    row = FIRST_ROW
    for comparison in comparisons:
        if row > FIRST_ROW:
            start_new_page(sheet, row)
        row = _write_build(sheet, setting, comparison, row)


def _write_build(sheet: Sheet, setting: Setting, comparison: Comparison, row: int) -> int:
    top = row if row > FIRST_ROW else 1
    sheet.put_text(row, 1, comparison.build, SECTION)
    table = write_table(sheet, _columns(setting, comparison), comparison.quantities, row=row + 1)
    row = table.next_row + 1
    sheet.put_text(row, 1, "What one saves against one made alone, and through what", STRONG)
    lines = tuple(enumerate(comparison.quantities))
    saved = write_table(sheet, _saved_columns(setting, table, comparison), lines, row=row + 1)
    row = saved.next_row + 1
    if len(comparison.quantities) > 1:
        if sheet.height_pt(top, row - 1) + CHART_PT > PAGE_PT[setting.paper]:
            start_new_page(sheet, row)
        _write_charts(sheet, setting, comparison, table, row)
        row += CHART_ROWS
    return row


STRONG = Style(name="Heading in between", bold=True)


def _strong(setting: Setting) -> Style:
    return replace(setting.money, name=f"{setting.money.name}, strong", bold=True)


def _columns(setting: Setting, comparison: Comparison) -> tuple[Column[QuantityCost], ...]:
    first, *_, last = comparison.kinds
    return (
        Column(name="quantity", heading="Made together", width=12, style=WHOLE, value=lambda one: one.quantity),
        *(_kind_column(setting, kind) for kind in comparison.kinds),
        Column(
            name="cost",
            heading="Cost of one",
            width=12,
            style=_strong(setting),
            value=lambda one: one.unit_cost,
            formula=lambda _, at: f"=SUM({at[first]}:{at[last]})",
        ),
        Column(
            name="price",
            heading="Price of one",
            width=12,
            style=_strong(setting),
            value=lambda one: one.unit_price,
        ),
        Column(
            name="hours",
            heading="Hours for one",
            width=10,
            style=decimals(1),
            value=lambda one: one.minutes / 60,
        ),
        Column(
            name="set-up",
            heading="Set-up, part of labour",
            width=13,
            style=setting.money,
            value=lambda one: one.set_up,
        ),
    )


def _kind_column(setting: Setting, kind: str) -> Column[QuantityCost]:
    return Column(
        name=kind,
        heading=kind.capitalize(),
        width=13,
        style=setting.money,
        value=lambda one: one.by_kind[kind],
    )


Indexed = tuple[int, QuantityCost]


def _saved_columns(setting: Setting, table: PlacedTable, comparison: Comparison) -> tuple[Column[Indexed], ...]:
    first, *_, last = comparison.causes
    return (
        Column(name="quantity", heading="Made together", width=12, style=WHOLE, value=lambda one: one[1].quantity),
        *(_saved_column(setting, table, kind, cause) for kind, cause in comparison.causes.items()),
        Column(
            name="cost",
            heading="Saved on one",
            width=12,
            style=_strong(setting),
            value=lambda one: one[1].saved_in_all,
            formula=lambda _, at: f"=SUM({at[first]}:{at[last]})",
        ),
    )


def _saved_column(setting: Setting, table: PlacedTable, kind: str, cause: str) -> Column[Indexed]:
    """Return the saving through one cause: what one made alone costs less what one of this quantity costs."""

    def saved(name: str, line: int) -> str:
        return f"{table.cell(name, 0).ref}-{table.cell(name, line).ref}"

    def formula(line: int) -> str:
        if kind == "work":
            return f"={saved('labour', line)}-({saved('set-up', line)})"
        return f"={saved(kind, line)}"

    return Column(
        name=kind,
        heading=f"{kind.capitalize()}:\n{cause}",
        width=max(13, 1 + max(text_digits(line, bold=True) for line in (f"{kind.capitalize()}:", cause))),
        style=setting.money,
        value=lambda one: one[1].saved[kind],
        formula=lambda one, _: formula(one[0]),
    )


def _write_charts(sheet: Sheet, setting: Setting, comparison: Comparison, table: PlacedTable, row: int) -> None:
    columns = comparison.quantities
    quantities = ChartValues(
        title="Made together",
        area=table.column("quantity"),
        values=tuple(column.quantity for column in columns),
    )
    currency = setting.money.number_format
    put_stacked_columns(
        sheet,
        sheet.place(row, 1),
        ChartFrame(
            title=f"{comparison.build}: what one costs",
            y_title="cost of one",
            y_format=currency,
            width_cm=CHART_WIDTH_CM,
            height_cm=CHART_HEIGHT_CM,
        ),
        x=quantities,
        parts=[
            ChartValues(
                title=kind.capitalize(),
                area=table.column(kind),
                values=tuple(column.by_kind[kind] for column in columns),
            )
            for kind in comparison.kinds
        ],
    )
    put_curves(
        sheet,
        sheet.place(row, SECOND_CHART_COLUMN),
        ChartFrame(
            title=f"{comparison.build}: cost and price of one",
            y_title="price and cost of one",
            y_format=currency,
            width_cm=CHART_WIDTH_CM,
            height_cm=CHART_HEIGHT_CM,
        ),
        x=quantities,
        curves=[
            ChartValues(
                title="Price of one", area=table.column("price"), values=tuple(column.unit_price for column in columns)
            ),
            ChartValues(
                title="Cost of one", area=table.column("cost"), values=tuple(column.unit_cost for column in columns)
            ),
        ],
    )
