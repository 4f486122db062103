"""What each build bears: every line of material and labour with the share and the amount of each build."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate

from estimator.costing.bill import SHARE_DIGITS
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import Setting
from estimator.workbook.page import repeat_heading, start_new_page
from estimator.workbook.places import Place
from estimator.workbook.styles import NOTE, SECTION, TEXT, WRAPPED, as_total, decimals
from estimator.workbook.table import Column, PlacedTable, Refs, write_table

SHARE = decimals(4)
MINUTES = decimals(2)
LINE_WIDTH = 38
MINUTES_COLUMN = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class _Line:
    """A line of the bill or of the labour, and where its amount stands on its own sheet."""

    item: str
    kind: str
    minutes: Decimal | None
    minutes_at: Place | None
    amount: Decimal
    amount_at: Place
    own_shares: tuple[Fraction, ...]  # what the builds have to themselves; they share the rest by their own minutes
    shares: tuple[Decimal, ...]
    by_build: tuple[Decimal, ...]

    @property
    def by_minutes(self) -> bool:
        """Whether the builds share some of it by their own minutes, which a reader may change."""
        return sum(self.own_shares, Fraction(0)) < 1


def write_shares(
    sheet: Sheet, setting: Setting, bill: PlacedTable, labour: PlacedTable | None, *, row: int
) -> PlacedTable:
    """Write the shares on a new page and return where the columns `kind`, `share 0`, `amount 0` ... landed."""
    start_new_page(sheet, row)
    sheet.put_text(row, 1, "What each build bears", SECTION)
    sheet.widen(1, LINE_WIDTH)
    sheet.put_text_across(
        row + 1,
        1,
        4 + 2 * len(setting.estimate.order.items),
        "Boards are shared by how much of their face the parts take, packs by pieces, cans by need, and work on the "
        "whole order, with what the shop uses for it, by the minutes of the builds. Amounts are rounded so that they "
        "add up to the line.",
        NOTE,
    )
    repeat_heading(sheet, row + 2)
    first_row = row + 3 + len(setting.estimate.bill)
    columns = _columns(setting, _minutes_up_to(sheet, setting, first_row))
    return write_table(sheet, columns, _lines(setting, bill, labour), row=row + 2)


def kind_sum(table: PlacedTable, kind: str, place: int) -> str:
    """Return the formula of what a build bears of one kind of cost, one of the program's own words."""
    return f'=SUMIF({table.column("kind").ref},"{kind}",{table.column(f"amount {place}").ref})'


def minutes_sum(table: PlacedTable, place: int) -> str:
    """Return the formula of the minutes that a build bears."""
    return f"=SUMPRODUCT({table.column('minutes').ref},{table.column(f'share {place}').ref})"


def _lines(setting: Setting, bill: PlacedTable, labour: PlacedTable | None) -> list[_Line]:
    lines = [
        _Line(
            item=line.bought.item,
            kind=line.kind,
            minutes=None,
            minutes_at=None,
            amount=line.charged,
            amount_at=bill.cell("charged", index),
            own_shares=line.own_shares,
            shares=line.shares,
            by_build=line.by_build,
        )
        for index, line in enumerate(setting.estimate.bill)
    ]
    if labour is None:
        return lines
    return lines + [
        _Line(
            item=f"{line.operation.name} ({line.scope})",
            kind="labour",
            minutes=line.minutes,
            minutes_at=labour.cell("minutes", index),
            amount=line.amount,
            amount_at=labour.cell("amount", index),
            own_shares=tuple(Fraction(int(line.place == place)) for place in range(len(line.shares))),
            shares=line.shares,
            by_build=line.by_build,
        )
        for index, line in enumerate(setting.estimate.labour)
    ]


def _minutes_up_to(sheet: Sheet, setting: Setting, first_row: int) -> tuple[str, ...]:
    """Return for each build the cells with the minutes of its own work and of the builds before it; "" for none."""
    places = [line.place for line in setting.estimate.labour]
    counts = accumulate(places.count(place) for place in range(len(setting.estimate.order.items)))
    return tuple(
        f"{sheet.place(first_row, MINUTES_COLUMN).ref}:{sheet.place(first_row + count - 1, MINUTES_COLUMN).ref}"
        if count
        else ""
        for count in counts
    )


def _columns(setting: Setting, minutes_up_to: tuple[str, ...]) -> tuple[Column[_Line], ...]:
    builds: list[Column[_Line]] = []
    for place, item in enumerate(setting.estimate.order.items):
        builds += [
            _share_column(item.build.name, place, minutes_up_to),
            _amount_column(setting, item.build.name, place),
        ]
    return (
        Column(name="item", heading="Line", width=LINE_WIDTH, style=WRAPPED, value=lambda line: line.item),
        Column(name="kind", heading="Kind", width=14, style=TEXT, value=lambda line: line.kind),
        Column(
            name="minutes",
            heading="Minutes",
            width=11,
            style=MINUTES,
            value=lambda line: line.minutes,
            formula=lambda line, _: f"={line.minutes_at.full_ref}" if line.minutes_at else None,
            total=as_total(MINUTES),
        ),
        Column(
            name="whole",
            heading="Charged",
            width=12,
            style=setting.money,
            value=lambda line: line.amount,
            formula=lambda line, _: f"={line.amount_at.full_ref}",
            total=as_total(setting.money),
        ),
        *builds,
    )


def _share_column(name: str, place: int, minutes_up_to: tuple[str, ...]) -> Column[_Line]:
    return Column(
        name=f"share {place}",
        heading=f"Share of {name}",
        width=13,
        style=SHARE,
        value=lambda line: line.shares[place],
        formula=lambda line, at: _share_formula(line, at, place, minutes_up_to) if line.by_minutes else None,
    )


def _share_formula(line: _Line, at: Refs, place: int, minutes_up_to: tuple[str, ...]) -> str | None:
    """Return the rounded share of all builds up to this one, less the shares of those before it."""
    running, total = minutes_up_to[place], minutes_up_to[-1]
    if not total:
        return None  # shared by units
    before = "".join(f"-{at[f'share {other}']}" for other in range(place))
    own = sum(line.own_shares[: place + 1], Fraction(0))
    common = 1 - sum(line.own_shares, Fraction(0))
    of_minutes = f"SUM({running})/SUM({total})" if running else "0"
    up_to_here = f"{_constant(own)}+{_constant(common)}*{of_minutes}" if common < 1 else of_minutes
    return f"=IF(SUM({total})=0,{line.shares[place]},ROUND({up_to_here},{SHARE_DIGITS}){before})"


def _constant(share: Fraction) -> str:
    """Return a share as a formula holds it, to as many places as a spreadsheet reckons with."""
    return f"{float(share):.15f}"


def _amount_column(setting: Setting, name: str, place: int) -> Column[_Line]:
    digits, last = setting.estimate.order.shop.currency.digits, len(setting.estimate.order.items) - 1
    return Column(
        name=f"amount {place}",
        heading=name,
        width=12,
        style=setting.money,
        value=lambda line: line.by_build[place],
        formula=lambda _, at: _amount_formula(at, place, last, digits),
        total=as_total(setting.money),
    )


def _amount_formula(at: Refs, place: int, last: int, digits: int) -> str:
    """Return the rounded amount of all builds up to this one, less the amounts of those before it."""
    before = "".join(f"-{at[f'amount {other}']}" for other in range(place))
    if place == last:
        return f"={at['whole']}{before}"
    shares = "+".join(at[f"share {other}"] for other in range(place + 1))
    return f"=ROUND({at['whole']}*({shares}),{digits}){before}"
