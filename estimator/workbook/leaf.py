"""What every sheet of a workbook shares: the estimate, the looks that depend on it, and how a sheet begins."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePath

from estimator.errors import Origin
from estimator.estimate import Estimate
from estimator.measures import Measures, measures
from estimator.workbook.cells import Sheet
from estimator.workbook.page import Paper, set_up_page
from estimator.workbook.styles import SUBTITLE, TITLE, WHOLE, Style, decimals, money

FIRST_ROW = 4  # of the first table, below title and subtitle


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """An estimate with the units, the paper and the money style its sheets are written in."""

    estimate: Estimate
    shown: Measures
    paper: Paper
    money: Style

    @property
    def footer(self) -> str:
        """What stands at the foot of every page: whose sheet it is, for what, and the day of the quote."""
        order = self.estimate.order
        parts = [order.shop.name, order.title, order.reference, str(order.day)]
        return "  ·  ".join(part for part in parts if part)


def setting_for(estimate: Estimate) -> Setting:
    """Return the setting for an estimate: letter paper for inches, A4 for millimetres."""
    unit = estimate.order.shop.unit
    return Setting(
        estimate=estimate,
        shown=measures(unit),
        paper="letter" if unit == "in" else "A4",
        money=money(estimate.order.shop.currency),
    )


def begin_sheet(
    sheet: Sheet, setting: Setting, *, title: str, subtitle: str, landscape: bool, heading_row: int | None = FIRST_ROW
) -> None:
    """Write title and subtitle and set up the page, with a heading row that repeats in print where there is one."""
    sheet.put_text(1, 1, title, TITLE)
    sheet.put_text(2, 1, subtitle, SUBTITLE)
    set_up_page(sheet, paper=setting.paper, landscape=landscape, footer=setting.footer, heading_row=heading_row)


def short_origin(origin: Origin) -> str:
    """Return a place as the sheets show it: the file with the folder it lies in, and the line."""
    folder_and_file = PurePath(origin.file).parts[-2:]
    return str(Origin(file="/".join(folder_and_file), line=origin.line))


def price_origin(origin: Origin, *, stale: bool) -> str:
    """Return the place of a price as the sheets show it, with a word where the price is older than the limit."""
    return f"{short_origin(origin)}{' (old)' if stale else ''}"


def quantity_style(quantity: Decimal | Fraction | int) -> Style:
    """Return the style of a count, or of a measure with three decimals where it is not whole."""
    return WHOLE if quantity == int(quantity) else decimals(3)
