"""Hardware: which joint takes what, and from there what is used, spare, bought and left over."""

from dataclasses import dataclass
from itertools import accumulate

from estimator.buying.packed import HardwarePurchase
from estimator.takeoff.hardware import HardwareUseCount
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, short_origin
from estimator.workbook.page import start_new_page
from estimator.workbook.styles import SECTION, TEXT, WHOLE, WRAPPED
from estimator.workbook.table import Column, PlacedTable, write_table


@dataclass(frozen=True, kw_only=True, slots=True)
class _Use:
    title: str
    count: HardwareUseCount


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sum:
    """A purchase with the lines of the table of uses, counted from 0, that it is for."""

    purchase: HardwarePurchase
    first: int
    last: int


def write_hardware(sheet: Sheet, setting: Setting) -> None:
    """Write the joints with what each takes, then a line for each piece of hardware."""
    begin_sheet(
        sheet,
        setting,
        title="Hardware",
        subtitle="What each kind of joint takes in the whole order, and what is bought for it.",
        landscape=True,
    )
    purchases = setting.estimate.buy_sheet.hardware
    if not purchases:
        sheet.put_text(FIRST_ROW, 1, "No hardware is listed for this order.", TEXT)
        return
    unit = setting.estimate.order.shop.unit
    lines = [_Use(title=one.need.title(unit), count=use) for one in purchases for use in one.need.uses]
    table = write_table(sheet, USE_COLUMNS, lines, row=FIRST_ROW)
    start_new_page(sheet, table.next_row + 1)  # else its rows could come under the first table's repeated heading
    sheet.put_text(table.next_row + 1, 1, "Together", SECTION)
    ends = tuple(accumulate(len(one.need.uses) for one in purchases))
    sums = tuple(
        _Sum(purchase=one, first=end - len(one.need.uses), last=end - 1)
        for one, end in zip(purchases, ends, strict=True)
    )
    write_table(sheet, _sum_columns(setting, table), sums, row=table.next_row + 2)


def _from(use: _Use) -> str:
    return short_origin(use.count.origin)


USE_COLUMNS = (
    Column[_Use](name="title", heading="Piece", width=44, style=WRAPPED, value=lambda use: use.title),
    Column[_Use](name="build", heading="Build", width=20, style=WRAPPED, value=lambda use: use.count.build),
    Column[_Use](name="joint", heading="Joint", width=30, style=WRAPPED, value=lambda use: use.count.joint),
    Column[_Use](name="quantity", heading="Pieces", width=10, style=WHOLE, value=lambda use: use.count.quantity),
    Column[_Use](name="from", heading="File and line", width=30, style=WRAPPED, value=_from),
)


def _sum_columns(setting: Setting, uses: PlacedTable) -> tuple[Column[_Sum], ...]:
    unit = setting.estimate.order.shop.unit
    spare = setting.estimate.order.shop.spares

    def used(one: _Sum) -> str:
        """Sum the lines by where they stand: by name, `*` and `>` in a name would count as signs of a search."""
        return f"=SUM({uses.cell('quantity', one.first).ref}:{uses.cell('quantity', one.last).ref})"

    return (
        Column(name="title", heading="Piece", width=44, style=WRAPPED, value=lambda one: one.purchase.need.title(unit)),
        Column(
            name="used",
            heading="Used",
            width=20,
            style=WHOLE,
            value=lambda one: one.purchase.need.quantity,
            formula=lambda one, _: used(one),
        ),
        Column(
            name="spares",
            heading=f"Spare ({spare.percent} %, at least {spare.at_least})",
            width=30,
            style=WHOLE,
            value=lambda one: one.purchase.need.spares,
            formula=lambda _, at: f"=MAX({spare.at_least},ROUNDUP(ROUND({at['used']}*{spare.percent}/100,6),0))",
        ),
        Column(
            name="together",
            heading="To have",
            width=10,
            style=WHOLE,
            value=lambda one: one.purchase.need.quantity + one.purchase.need.spares,
            formula=lambda _, at: f"={at['used']}+{at['spares']}",
        ),
        Column(
            name="packs",
            heading="Bought as",
            width=30,
            style=WRAPPED,
            value=lambda one: " + ".join(f"{line.quantity} x {line.unit}" for line in one.purchase.lines),
        ),
        Column(name="pieces", heading="Pieces bought", width=11, style=WHOLE, value=lambda one: one.purchase.pieces),
        Column(
            name="left",
            heading="Left over",
            width=11,
            style=WHOLE,
            value=lambda one: one.purchase.left_over,
            formula=lambda _, at: f"={at['pieces']}-{at['together']}",
        ),
    )
