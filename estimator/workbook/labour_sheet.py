"""Labour: each operation with what drives it, its minutes and its cost, as live formulas."""

from estimator.costing.labour import LabourLine
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.prices_sheet import PricePlaces
from estimator.workbook.sanding_sheet import SandingPlaces
from estimator.workbook.styles import NOTE, TEXT, WRAPPED, as_input, as_total, decimals
from estimator.workbook.table import Column, PlacedTable, write_table

MINUTES = decimals(2)


def write_labour(
    sheet: Sheet, setting: Setting, prices: PricePlaces, sanding: SandingPlaces | None
) -> PlacedTable | None:
    """Write the operations and return where they stand; None where no labour is listed."""
    begin_sheet(
        sheet,
        setting,
        title="Labour",
        subtitle="Minutes = count x minutes for each x practice + set-up. Framed cells may be changed.",
        landscape=True,
    )
    lines = setting.estimate.labour
    if not lines:
        sheet.put_text(FIRST_ROW, 1, "No labour is listed for this order.", TEXT)
        return None
    table = write_table(sheet, _columns(setting, prices, sanding), lines, row=FIRST_ROW)
    sheet.put_text_across(
        table.next_row + 1,
        1,
        12,
        "Practice is the average of all units against the first: at 90 % the last unit takes 90 % of its time whenever "
        "the number made doubles (Crawford's unit model). 1 means no learning is reckoned with.",
        NOTE,
    )
    return table


def _columns(setting: Setting, prices: PricePlaces, sanding: SandingPlaces | None) -> tuple[Column[LabourLine], ...]:
    digits = setting.estimate.order.shop.currency.digits

    def from_sanding(line: LabourLine, places: str) -> str | None:
        """Return the formula that takes a figure over from the sheet of the sanding, where it may be changed."""
        if sanding is None or line.sanded is None:
            return None
        cells = sanding.counted if places == "counted" else sanding.minutes_each
        return f"={cells[line.sanded].full_ref}"

    return (
        Column(name="scope", heading="For", width=18, style=WRAPPED, value=lambda line: line.scope),
        Column(name="name", heading="Operation", width=30, style=WRAPPED, value=lambda line: line.operation.name),
        Column(name="per", heading="Counted by", width=11, style=TEXT, value=lambda line: line.operation.per),
        Column(
            name="count",
            heading="Count",
            width=10,
            style=decimals(1),
            value=lambda line: line.count,
            formula=lambda line, _: from_sanding(line, "counted"),
        ),
        Column(
            name="minutes_each",
            heading="Minutes each",
            width=9,
            style=lambda line: MINUTES if line.sanded else as_input(MINUTES),
            value=lambda line: line.operation.minutes,
            formula=lambda line, _: from_sanding(line, "minutes_each"),
        ),
        Column(
            name="set_up",
            heading="Set-up minutes",
            width=9,
            style=as_input(MINUTES),
            value=lambda line: line.operation.setup_minutes,
        ),
        Column(
            name="practice", heading="Practice", width=9, style=decimals(3), value=lambda line: line.learning_factor
        ),
        Column(
            name="minutes",
            heading="Minutes",
            width=11,
            style=MINUTES,
            value=lambda line: line.minutes,
            formula=lambda _, at: f"=ROUND({at['count']}*{at['minutes_each']}*{at['practice']}+{at['set_up']},2)",
            total=as_total(MINUTES),
        ),
        Column(name="rate", heading="Paid as", width=13, style=TEXT, value=lambda line: line.rate.name),
        Column(
            name="hourly",
            heading="An hour",
            width=10,
            style=setting.money,
            value=lambda line: line.rate.per_hour,
            formula=lambda line, _: f"={prices.of_rate[line.rate.name].full_ref}",
        ),
        Column(
            name="amount",
            heading="Amount",
            width=12,
            style=setting.money,
            value=lambda line: line.amount,
            formula=lambda _, at: f"=ROUND({at['minutes']}*{at['hourly']}/60,{digits})",
            total=as_total(setting.money),
        ),
        Column(name="note", heading="Remark", width=36, style=WRAPPED, value=lambda line: line.operation.note),
    )
