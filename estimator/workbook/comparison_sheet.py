"""Comparison: one unit at each quantity, what it saves against one made alone, and two charts."""

from collections.abc import Sequence

from estimator.costing.compare import CAUSES, Comparison, QuantityCost
from estimator.costing.quote import COST_KINDS
from estimator.workbook.cells import Sheet
from estimator.workbook.charts import ChartFrame, ChartValues, put_curves, put_stacked_columns
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.page import start_new_page
from estimator.workbook.styles import NOTE, SECTION, WHOLE, Style, as_total, decimals
from estimator.workbook.table import Column, PlacedTable, write_table

CHART_ROWS = 18
COLUMNS = 11


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
    sheet.put_text(row, 1, comparison.build, SECTION)
    table = write_table(sheet, _columns(setting), comparison.quantities, row=row + 1)
    row = table.next_row + 1
    sheet.put_text(row, 1, "What one saves against one made alone, and through what", STRONG)
    lines = tuple(enumerate(comparison.quantities))
    saved = write_table(sheet, _saved_columns(setting, table), lines, row=row + 1)
    row = saved.next_row
    causes = ", ".join(f"{kind}: {cause}" for kind, cause in CAUSES.items())
    sheet.put_text_across(row, 1, COLUMNS, f"Through what: {causes}.", NOTE)
    row += 2
    if len(comparison.quantities) > 1:
        _write_charts(sheet, setting, comparison, table, row)
        row += CHART_ROWS
    return row


STRONG = Style(name="Letter line, strong", bold=True)


def _columns(setting: Setting) -> tuple[Column[QuantityCost], ...]:
    return (
        Column(name="quantity", heading="Made together", width=12, style=WHOLE, value=lambda one: one.quantity),
        *(_kind_column(setting, kind) for kind in COST_KINDS),
        Column(
            name="cost",
            heading="Cost of one",
            width=12,
            style=as_total(setting.money),
            value=lambda one: one.unit_cost,
            formula=lambda _, at: f"=SUM({at[COST_KINDS[0]]}:{at[COST_KINDS[-1]]})",
        ),
        Column(
            name="price",
            heading="Price of one",
            width=12,
            style=as_total(setting.money),
            value=lambda one: one.unit_price,
        ),
        Column(
            name="hours",
            heading="Hours for one",
            width=10,
            style=decimals(1),
            value=lambda one: one.minutes / 60,
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


def _saved_columns(setting: Setting, table: PlacedTable) -> tuple[Column[Indexed], ...]:
    return (
        Column(name="quantity", heading="Made together", width=12, style=WHOLE, value=lambda one: one[1].quantity),
        *(_saved_column(setting, table, kind) for kind in COST_KINDS),
        Column(
            name="cost",
            heading="Saved on one",
            width=12,
            style=as_total(setting.money),
            value=lambda one: one[1].saved_in_all,
            formula=lambda _, at: f"=SUM({at[COST_KINDS[0]]}:{at[COST_KINDS[-1]]})",
        ),
    )


def _saved_column(setting: Setting, table: PlacedTable, kind: str) -> Column[Indexed]:
    """Return the saving on one kind: what one made alone costs less what one of this quantity costs."""
    return Column(
        name=kind,
        heading=kind.capitalize(),
        width=13,
        style=setting.money,
        value=lambda one: one[1].saved[kind],
        formula=lambda one, _: f"={table.cell(kind, 0).ref}-{table.cell(kind, one[0]).ref}",
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
        ChartFrame(title=f"{comparison.build}: what one costs", y_title="cost of one", y_format=currency),
        x=quantities,
        parts=[
            ChartValues(
                title=kind.capitalize(),
                area=table.column(kind),
                values=tuple(column.by_kind[kind] for column in columns),
            )
            for kind in COST_KINDS
        ],
    )
    put_curves(
        sheet,
        sheet.place(row, 7),
        ChartFrame(title=f"{comparison.build}: cost and price of one", y_title="of one", y_format=currency),
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
