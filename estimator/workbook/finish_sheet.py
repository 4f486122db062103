"""Finish: areas, coats, rates and losses down to the need, as live formulas, and the cans planned for it."""

from dataclasses import dataclass

from estimator.finish_words import loss_text, waiting_texts
from estimator.reading.fields import name_key
from estimator.takeoff.areas import covered_words
from estimator.takeoff.finish import Coat, FinishNeed, coats_by_step, next_coat
from estimator.workbook.cells import Sheet
from estimator.workbook.finish_amounts import (
    AMOUNT,
    PARAGRAPH_COLUMNS,
    PARTS,
    NeedsAt,
    put_amount,
    write_auxiliary,
    write_cans,
)
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, short_origin
from estimator.workbook.styles import NOTE, PERCENT, SECTION, TEXT, WHOLE, WRAPPED, as_input, as_total, decimals
from estimator.workbook.table import Column, Refs, write_table

AREA = decimals(1)
BUILD_WIDTH, COATS_WIDTH, WHICH_WIDTH, COUNT_WIDTH = 22, 7, 9, 10
COATS_COLUMN = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class _Line:
    """The coats of one step that go on at one rate: all of them, the first, or the further ones.

    `coats_at` is the cell with the number of coats of the step, which stands in the first line of it.
    """

    coat: Coat
    which: str
    count: int
    coats: int
    coats_at: str


def write_finish(sheet: Sheet, setting: Setting) -> None:
    """Write a table of coats for each product with its need at both ends of the spreading rate."""
    begin_sheet(
        sheet,
        setting,
        title="Finish",
        subtitle="Need = coats x counted area / (rate x (1 - loss)). Framed cells may be changed; the cans stay.",
        landscape=True,
        heading_row=None,
    )
    purchases = setting.estimate.buy_sheet.finish
    if not purchases:
        sheet.put_text(FIRST_ROW, 1, "No finish is listed for this order.", TEXT)
        return
    end_grain = _write_end_grain(sheet, setting)
    row = FIRST_ROW + 2
    needs_at: NeedsAt = {}
    for purchase in purchases:
        sheet.put_text(row, 1, purchase.title, SECTION)
        table = write_table(
            sheet, _columns(setting, end_grain), _lines(sheet, setting, purchase.need, row + 2), row=row + 1
        )
        row = write_cans(sheet, setting, purchase, table, table.next_row + 1, needs_at)
    for auxiliary in setting.estimate.buy_sheet.auxiliaries:
        row = write_auxiliary(sheet, setting, auxiliary, needs_at[name_key(auxiliary.title)], row)
    waiting = waiting_texts(setting.estimate.order)
    if waiting:
        sheet.put_text(row, 1, "Waiting between coats, as planned", SECTION)
    for place, sentence in enumerate(waiting, start=1):
        sheet.put_text_across(row + place, 1, PARAGRAPH_COLUMNS, sentence, NOTE)


def _write_end_grain(sheet: Sheet, setting: Setting) -> str:
    """Write how often the area of ends counts, and return the reference of its cell."""
    for column, width in enumerate((BUILD_WIDTH, COATS_WIDTH, WHICH_WIDTH, COUNT_WIDTH), start=1):
        sheet.widen(column, width)
    factor = setting.estimate.order.shop.finish.end_grain_factor
    label = "End grain drinks more: ends count so many times"
    return put_amount(sheet, FIRST_ROW, label, factor, as_input(PARTS)).ref


def _lines(sheet: Sheet, setting: Setting, need: FinishNeed, first_row: int) -> list[_Line]:
    """Return the lines of a product: first and further coats of a step apart, where they have rates of their own."""
    lines: list[_Line] = []
    for coats in coats_by_step(need):
        at = sheet.place(first_row + len(lines), COATS_COLUMN).ref
        first = coats[0]
        further = coats[1] if len(coats) > 1 else next_coat(first, setting.estimate.order)
        alike = further is None or (further.spread, further.rate_origin) == (first.spread, first.rate_origin)
        count = len(coats) if alike else 1
        which = "all" if alike else "first"
        lines.append(_Line(coat=first, which=which, count=count, coats=len(coats), coats_at=at))
        if further is not None and not alike:
            lines.append(_Line(coat=further, which="further", count=len(coats) - 1, coats=len(coats), coats_at=at))
    return lines


def _count_formula(line: _Line, _: Refs) -> str:
    """Return how many of the step's coats go on at the rate of a line."""
    count = {"all": "{0}", "first": "MIN({0},1)", "further": "MAX({0}-1,0)"}[line.which]
    return f"={count.format(line.coats_at)}"


def _columns(setting: Setting, end_grain: str) -> tuple[Column[_Line], ...]:
    return (*_coat_columns(setting), *_area_columns(setting, end_grain), *_need_columns(setting))


def _coat_columns(setting: Setting) -> tuple[Column[_Line], ...]:
    builds = {item.build.name: item.build for item in setting.estimate.order.items}
    return (
        Column(name="build", heading="Build", width=BUILD_WIDTH, style=WRAPPED, value=lambda line: line.coat.build),
        Column(
            name="coats",
            heading="Coats",
            width=COATS_WIDTH,
            style=lambda line: WHOLE if line.which == "further" else as_input(WHOLE),
            value=lambda line: None if line.which == "further" else line.coats,
        ),
        Column(name="which", heading="Which", width=WHICH_WIDTH, style=TEXT, value=lambda line: line.which),
        Column(
            name="count",
            heading="Coats at this rate",
            width=COUNT_WIDTH,
            style=WHOLE,
            value=lambda line: line.count,
            formula=_count_formula,
        ),
        Column(name="method", heading="Method", width=10, style=WRAPPED, value=lambda line: line.coat.step.method),
        Column(name="texture", heading="Texture", width=10, style=TEXT, value=lambda line: line.coat.step.texture),
        Column(
            name="covers",
            heading="Covers",
            width=24,
            style=WRAPPED,
            value=lambda line: covered_words(line.coat.step, builds[line.coat.build]),
        ),
    )


def _area_columns(setting: Setting, end_grain: str) -> tuple[Column[_Line], ...]:
    shown = setting.shown
    return (
        Column(
            name="faces",
            heading=f"Faces, {shown.area}",
            width=10,
            style=AREA,
            value=lambda line: shown.area_of(line.coat.area.faces_ft2),
        ),
        Column(
            name="edges",
            heading=f"Edges, {shown.area}",
            width=10,
            style=AREA,
            value=lambda line: shown.area_of(line.coat.area.edges_ft2),
        ),
        Column(
            name="ends",
            heading=f"Ends, {shown.area}",
            width=10,
            style=AREA,
            value=lambda line: shown.area_of(line.coat.area.ends_ft2),
        ),
        Column(
            name="counted",
            heading=f"Counted for one coat, {shown.area}",
            width=11,
            style=AREA,
            value=lambda line: shown.area_of(line.coat.counted_ft2),
            formula=lambda _, at: f"={at['faces']}+{at['edges']}+{end_grain}*{at['ends']}",
        ),
    )


def _need_columns(setting: Setting) -> tuple[Column[_Line], ...]:
    shown = setting.shown
    return (
        Column(
            name="low_rate",
            heading=f"Low rate, {shown.rate}",
            width=10,
            style=as_input(AREA),
            value=lambda line: shown.rate_of(line.coat.spread.low_ft2_per_gal),
        ),
        Column(
            name="high_rate",
            heading=f"High rate, {shown.rate}",
            width=10,
            style=as_input(AREA),
            value=lambda line: shown.rate_of(line.coat.spread.high_ft2_per_gal),
        ),
        Column(
            name="loss",
            heading="Loss",
            width=8,
            style=as_input(PERCENT),
            value=lambda line: line.coat.loss_percent / 100,
        ),
        Column(
            name="most",
            heading=f"Need at low rate, {shown.liquid}",
            width=11,
            style=AMOUNT,
            value=lambda line: line.count * shown.liquid_of(line.coat.need_at_low_rate_gal),
            formula=lambda _, at: f"={at['count']}*{at['counted']}/({at['low_rate']}*(1-{at['loss']}))",
            total=as_total(AMOUNT),
        ),
        Column(
            name="least",
            heading=f"Need at high rate, {shown.liquid}",
            width=11,
            style=AMOUNT,
            value=lambda line: line.count * shown.liquid_of(line.coat.need_at_high_rate_gal),
            formula=lambda _, at: f"={at['count']}*{at['counted']}/({at['high_rate']}*(1-{at['loss']}))",
            total=as_total(AMOUNT),
        ),
        Column(
            name="from",
            heading="Rate and loss from",
            width=40,
            style=WRAPPED,
            value=lambda line: (
                f"{short_origin(line.coat.rate_origin)}: {line.coat.rate_source}. {loss_text(line.coat)}"
            ),
        ),
    )
