"""Finish: areas, coats, rates and losses down to the need, as live formulas, and the cans planned for it."""

from estimator.buying.cans import FinishPurchase, choice_of_cans
from estimator.takeoff.finish import Coat
from estimator.wording import cans_text, decision_sentences, finish_sums, loss_text
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, short_origin
from estimator.workbook.styles import NOTE, PERCENT, SECTION, TEXT, WRAPPED, Style, as_input, as_total, decimals
from estimator.workbook.table import Column, PlacedTable, write_table

AREA = decimals(1)
AMOUNT = decimals(3)
PARAGRAPH = Style(name="Paragraph", wrap=True)
COLUMNS = 12
BUILD_WIDTH, COAT_WIDTH, METHOD_WIDTH, SURFACE_WIDTH = 22, 7, 10, 10


def write_finish(sheet: Sheet, setting: Setting) -> None:
    """Write a table of coats for each product with its need at both ends of the spreading rate."""
    begin_sheet(
        sheet,
        setting,
        title="Finish",
        subtitle="Need = counted area / (rate x (1 - loss)). Framed cells may be changed; cans and charges stay.",
        landscape=True,
        heading_row=None,
    )
    purchases = setting.estimate.buy_sheet.finish
    if not purchases:
        sheet.put_text(FIRST_ROW, 1, "No finish is listed for this order.", TEXT)
        return
    end_grain = _write_end_grain(sheet, setting)
    row = FIRST_ROW + 2
    for purchase in purchases:
        sheet.put_text(row, 1, purchase.title, SECTION)
        table = write_table(sheet, _columns(setting, end_grain), purchase.need.coats, row=row + 1)
        row = _write_cans(sheet, setting, purchase, table, table.next_row + 1)


def _write_end_grain(sheet: Sheet, setting: Setting) -> str:
    """Write how often the area of ends counts, and return the reference of its cell."""
    for column, width in ((1, BUILD_WIDTH), (2, COAT_WIDTH), (3, METHOD_WIDTH), (4, SURFACE_WIDTH)):
        sheet.widen(column, width)
    sheet.put_text_across(FIRST_ROW, 1, 3, "End grain drinks more: ends count so many times", WRAPPED)
    factor = setting.estimate.order.shop.finish.end_grain_factor
    return sheet.put_number(FIRST_ROW, 4, factor, as_input(decimals(2))).ref


def _columns(setting: Setting, end_grain: str) -> tuple[Column[Coat], ...]:
    shown = setting.shown
    return (
        Column(name="build", heading="Build", width=BUILD_WIDTH, style=WRAPPED, value=lambda coat: coat.build),
        Column(name="number", heading="Coat", width=COAT_WIDTH, style=TEXT, value=lambda coat: str(coat.number)),
        Column(name="method", heading="Method", width=METHOD_WIDTH, style=WRAPPED, value=lambda coat: coat.step.method),
        Column(
            name="texture", heading="Surface", width=SURFACE_WIDTH, style=TEXT, value=lambda coat: coat.step.texture
        ),
        Column(
            name="faces",
            heading=f"Faces, {shown.area}",
            width=10,
            style=AREA,
            value=lambda coat: shown.area_of(coat.area.faces_ft2),
        ),
        Column(
            name="edges",
            heading=f"Edges, {shown.area}",
            width=10,
            style=AREA,
            value=lambda coat: shown.area_of(coat.area.edges_ft2),
        ),
        Column(
            name="ends",
            heading=f"Ends, {shown.area}",
            width=10,
            style=AREA,
            value=lambda coat: shown.area_of(coat.area.ends_ft2),
        ),
        Column(
            name="counted",
            heading=f"Counted, {shown.area}",
            width=11,
            style=AREA,
            value=lambda coat: shown.area_of(coat.counted_ft2),
            formula=lambda _, at: f"={at['faces']}+{at['edges']}+{end_grain}*{at['ends']}",
            total=as_total(AREA),
        ),
        Column(
            name="low_rate",
            heading=f"Low rate, {shown.rate}",
            width=10,
            style=as_input(AREA),
            value=lambda coat: shown.rate_of(coat.spread.low_ft2_per_gal),
        ),
        Column(
            name="high_rate",
            heading=f"High rate, {shown.rate}",
            width=10,
            style=as_input(AREA),
            value=lambda coat: shown.rate_of(coat.spread.high_ft2_per_gal),
        ),
        Column(
            name="loss",
            heading="Loss",
            width=8,
            style=as_input(PERCENT),
            value=lambda coat: coat.loss_percent / 100,
        ),
        Column(
            name="most",
            heading=f"Need at low rate, {shown.liquid}",
            width=11,
            style=AMOUNT,
            value=lambda coat: shown.liquid_of(coat.need_at_low_rate_gal),
            formula=lambda _, at: f"={at['counted']}/({at['low_rate']}*(1-{at['loss']}))",
            total=as_total(AMOUNT),
        ),
        Column(
            name="least",
            heading=f"Need at high rate, {shown.liquid}",
            width=11,
            style=AMOUNT,
            value=lambda coat: shown.liquid_of(coat.need_at_high_rate_gal),
            formula=lambda _, at: f"={at['counted']}/({at['high_rate']}*(1-{at['loss']}))",
            total=as_total(AMOUNT),
        ),
        Column(
            name="from",
            heading="Rate and loss from",
            width=40,
            style=WRAPPED,
            value=lambda coat: f"{short_origin(coat.rate_origin)}: {coat.rate_source}. {loss_text(coat)}",
        ),
    )


def _write_cans(sheet: Sheet, setting: Setting, purchase: FinishPurchase, table: PlacedTable, row: int) -> int:
    shown, order = setting.shown, setting.estimate.order
    most, least = table.total("most").ref, table.total("least").ref
    covered = {"low": f"={most}", "middle": f"=({most}+{least})/2", "high": f"={least}"}[purchase.need.cover]
    sheet.put_text_across(row, 1, 3, f"Need to cover, {shown.liquid}", TEXT)
    need = sheet.put_formula(row, 4, covered, shown.liquid_of(purchase.need.need_gal), AMOUNT)
    planned = f"In the cans as planned ({cans_text(purchase)}), {shown.liquid}"
    sheet.put_text_across(row + 1, 1, 3, planned, WRAPPED)
    content = sheet.put_number(row + 1, 4, shown.liquid_of(purchase.content_gal), AMOUNT)
    sheet.put_text_across(row + 2, 1, 3, f"Left over, {shown.liquid}", as_total(TEXT))
    left = shown.liquid_of(purchase.left_over_gal)
    sheet.put_formula(row + 2, 4, f"={content.ref}-{need.ref}", left, as_total(AMOUNT))
    said = (finish_sums(order, purchase), *decision_sentences(order, purchase, choice_of_cans(purchase, order)))
    for place, sentence in enumerate(("As planned:", *said)):
        sheet.put_text_across(row + 3 + place, 1, COLUMNS, sentence, NOTE)
    return row + len(said) + 5
