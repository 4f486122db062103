"""Sanding: what each grit of each pass sands, its minutes and its discs, as live formulas."""

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.reading.sanding import UNSOURCED
from estimator.takeoff.sanding import SandedArea, SandedGrit, by_grit
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.places import Place
from estimator.workbook.styles import HEADING, NOTE, SECTION, TEXT, WHOLE, WRAPPED, as_input, as_total, decimals
from estimator.workbook.table import Column, PlacedTable, write_table

AREA = decimals(2)
MINUTES = decimals(2)
GRITS_ROW = FIRST_ROW + 3  # of the headings of the grits
MINUTES_EACH_COLUMN, AREA_OF_ONE_COLUMN, SOURCE_COLUMN, LAST_COLUMN = 4, 5, 10, 13
SANDING_RULE = (
    "Before the finish whole surfaces are sanded, with what joints hide later: parts are commonly sanded before they "
    "are assembled. Between coats a side is sanded as it is coated, once for each coat after its first."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class SandingPlaces:
    """The cells with the counted area and the minutes each of every line, for the sheet of the labour."""

    counted: Mapping[SandedArea, Place]
    minutes_each: Mapping[SandedArea, Place]


def write_sanding(sheet: Sheet, setting: Setting) -> SandingPlaces:
    """Write the grits with their sums, and under them what each grit sands in each pass."""
    begin_sheet(
        sheet,
        setting,
        title="Sanding",
        subtitle="Minutes = (faces + times x (edges + ends)) x minutes each; discs = area / area of one disc or sheet. "
        "Framed cells may be changed; the packs bought stay.",
        landscape=True,
        heading_row=None,
    )
    sanded = setting.estimate.takeoff.order.sanded
    grits = by_grit(sanded)
    row_of = {one.setting.grit: GRITS_ROW + 1 + index for index, one in enumerate(grits)}
    minutes_each = {one: sheet.place(row_of[one.grit.grit], MINUTES_EACH_COLUMN) for one in sanded}
    area_of_one = {one: sheet.place(row_of[one.grit.grit], AREA_OF_ONE_COLUMN) for one in sanded}
    times = sheet.place(FIRST_ROW, MINUTES_EACH_COLUMN)
    passes_row = GRITS_ROW + len(grits) + 2
    columns = _pass_columns(setting, times, minutes_each, area_of_one)
    passes = write_table(sheet, columns, sanded, row=passes_row + 1)  # first, for the columns are as wide as it needs
    sheet.put_text(passes_row, 1, "What each grit sands in each pass", SECTION)
    _write_times(sheet, setting)
    _write_grits(sheet, setting, grits, passes)
    sheet.put_text_across(passes.next_row + 1, 1, LAST_COLUMN, f"{SANDING_RULE} ({UNSOURCED})", NOTE)
    return SandingPlaces(
        counted={one: passes.cell("counted", index) for index, one in enumerate(sanded)}, minutes_each=minutes_each
    )


def _write_times(sheet: Sheet, setting: Setting) -> None:
    sheet.put_text_across(FIRST_ROW, 1, MINUTES_EACH_COLUMN - 1, "Edges and ends count so many times", TEXT)
    factor = setting.estimate.order.shop.sanding.edge_factor
    sheet.put_number(FIRST_ROW, MINUTES_EACH_COLUMN, factor, as_input(decimals(2)))


def _write_grits(sheet: Sheet, setting: Setting, grits: tuple[SandedGrit, ...], passes: PlacedTable) -> None:
    """Write what each grit takes, framed, and the sums of its passes; the sources stand over the columns left."""
    sheet.put_text(GRITS_ROW - 1, 1, "What each grit takes, and its sums", SECTION)
    table = write_table(sheet, _grit_columns(setting, passes), grits, row=GRITS_ROW)
    sheet.put_text_across(GRITS_ROW, SOURCE_COLUMN, LAST_COLUMN, "Minutes and area of one from", HEADING)
    for index, one in enumerate(grits):
        row = table.first_row + index
        sheet.put_text_across(row, SOURCE_COLUMN, LAST_COLUMN, one.setting.source, WRAPPED)


def _grit_columns(setting: Setting, passes: PlacedTable) -> tuple[Column[SandedGrit], ...]:
    unit = setting.shown.area

    def sum_of(name: str, grit: str) -> str:
        return f"=SUMIF({passes.column('grit').full_ref},{grit},{passes.column(name).full_ref})"

    return (
        Column(name="item", heading="Disc or sheet", width=24, style=WRAPPED, value=lambda one: one.setting.item),
        Column(
            name="rate",
            heading="Paid as",
            width=15,
            style=TEXT,
            value=lambda _: setting.estimate.order.shop.sanding.rate,
        ),
        Column(name="grit", heading="Grit", width=8, style=WHOLE, value=lambda one: one.setting.grit),
        Column(
            name="minutes_each",
            heading=f"Minutes a {unit}",
            width=10,
            style=as_input(decimals(3)),
            value=lambda one: one.passes[0].minutes_each,
        ),
        Column(
            name="area_of_one",
            heading=f"Area of one, {unit}",
            width=10,
            style=as_input(decimals(3)),
            value=lambda one: one.passes[0].area_per_piece,
        ),
        Column(
            name="area",
            heading=f"Area, {unit}",
            width=10,
            style=AREA,
            value=lambda one: one.area,
            formula=lambda _, at: sum_of("area", at["grit"]),
        ),
        Column(
            name="minutes",
            heading="Minutes",
            width=10,
            style=MINUTES,
            value=lambda one: one.minutes,
            formula=lambda _, at: sum_of("minutes", at["grit"]),
        ),
        Column(
            name="hours",
            heading="Hours",
            width=10,
            style=decimals(1),
            value=lambda one: one.minutes / 60,
            formula=lambda _, at: f"={at['minutes']}/60",
        ),
        Column(
            name="discs",
            heading="Discs",
            width=10,
            style=decimals(2),
            value=lambda one: one.pieces,
            formula=lambda _, at: sum_of("discs", at["grit"]),
        ),
    )


def _pass_columns(
    setting: Setting, times: Place, minutes_each: Mapping[SandedArea, Place], area_of_one: Mapping[SandedArea, Place]
) -> tuple[Column[SandedArea], ...]:
    unit = setting.shown.area
    return (
        Column(name="build", heading="Build", width=24, style=WRAPPED, value=lambda one: one.build),
        Column(name="when", heading="When", width=15, style=TEXT, value=lambda one: one.sanding.when),
        Column(name="grit", heading="Grit", width=8, style=WHOLE, value=lambda one: one.grit.grit),
        Column(name="faces", heading=f"Faces, {unit}", width=10, style=AREA, value=lambda one: one.faces),
        Column(name="edges", heading=f"Edges, {unit}", width=10, style=AREA, value=lambda one: one.edges),
        Column(name="ends", heading=f"Ends, {unit}", width=10, style=AREA, value=lambda one: one.ends),
        Column(
            name="area",
            heading=f"Area, {unit}",
            width=10,
            style=AREA,
            value=lambda one: one.area,
            formula=lambda _, at: f"={at['faces']}+{at['edges']}+{at['ends']}",
            total=as_total(AREA),
        ),
        Column(
            name="counted",
            heading=f"Counted, {unit}",
            width=10,
            style=AREA,
            value=lambda one: one.counted,
            formula=lambda _, at: f"={at['faces']}+{times.full_ref}*({at['edges']}+{at['ends']})",
        ),
        Column(
            name="minutes_each",
            heading="Minutes each",
            width=10,
            style=decimals(3),
            value=lambda one: one.minutes_each,
            formula=lambda one, _: f"={minutes_each[one].full_ref}",
        ),
        Column(
            name="minutes",
            heading="Minutes",
            width=10,
            style=MINUTES,
            value=lambda one: one.minutes,
            formula=lambda _, at: f"=ROUND({at['counted']}*{at['minutes_each']},2)",
            total=as_total(MINUTES),
        ),
        Column(
            name="area_of_one",
            heading=f"Area of one, {unit}",
            width=10,
            style=decimals(3),
            value=lambda one: one.area_per_piece,
            formula=lambda one, _: f"={area_of_one[one].full_ref}",
        ),
        Column(
            name="discs",
            heading="Discs",
            width=10,
            style=decimals(2),
            value=lambda one: one.pieces,
            formula=lambda _, at: f"={at['area']}/{at['area_of_one']}",
        ),
        Column(
            name="covering",
            heading="What is sanded",
            width=36,
            style=WRAPPED,
            value=lambda one: " - ".join(filter(None, (one.sanding.covering, one.sanding.note))),
        ),
    )
