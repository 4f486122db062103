"""The whole flow in one place: read, take off, buy, cost, quote. The workbook and the terminal only write it down."""

from dataclasses import dataclass

from estimator.buying.buy import BuySheet, buy
from estimator.costing.bill import BillLine, bill_of_materials
from estimator.costing.compare import Comparison, compare
from estimator.costing.labour import LabourLine, labour_lines, shares_by_minutes
from estimator.costing.quote import Quote, make_quote
from estimator.errors import Findings, Notice, Origin
from estimator.reading.lists import shown_path
from estimator.reading.order import Order, only_build
from estimator.takeoff.cautions import corrosion_notices
from estimator.takeoff.take_off import TakeOff, take_off


@dataclass(frozen=True, kw_only=True, slots=True)
class Estimate:
    """An order with everything that follows from it."""

    order: Order
    takeoff: TakeOff
    buy_sheet: BuySheet
    bill: tuple[BillLine, ...]
    labour: tuple[LabourLine, ...]
    quote: Quote
    notices: tuple[Notice, ...]


def estimate(order: Order) -> Estimate:
    """Return the estimate for an order. Raises EstimatorError with every price, rate and yield that is missing."""
    findings = Findings(notices=list(order.notices))
    takeoff = take_off(order, findings)
    buy_sheet = buy(order, takeoff, findings)
    labour = labour_lines(order, takeoff, buy_sheet, findings)
    bill = bill_of_materials(order, buy_sheet, shares_by_minutes(order, labour))
    findings.raise_faults()
    findings.notices.extend(corrosion_notices(order))
    _notice_no_work(order, findings)
    return Estimate(
        order=order,
        takeoff=takeoff,
        buy_sheet=buy_sheet,
        bill=bill,
        labour=labour,
        quote=make_quote(order, bill, labour),
        notices=tuple(findings.notices),
    )


def _notice_no_work(order: Order, findings: Findings) -> None:
    """Note builds whose price holds no work: a quote that forgets the labour looks just like a good one."""
    for item in order.items:
        if not item.build.labour:
            origin = Origin(file=shown_path(item.build.folder))
            work = "no work for it but sanding" if item.build.sanding else "no work for it"
            findings.notice(origin, f"lists no labour; the price holds {work}, so write its labour.csv")


def compare_quantities(order: Order, quantities: tuple[int, ...] = ()) -> tuple[Comparison, ...]:
    """Return for each build of an order what one costs at each quantity, made on its own and planned anew each time.

    Without quantities those of the shop's settings; one unit is always among them, for the others to be held against.
    """
    wanted = tuple(sorted({1, *(quantities or order.shop.compare_quantities)}))
    return tuple(
        compare(
            item.build.name,
            [estimate(only_build(order, item, quantity)).quote.costs[0] for quantity in wanted],
            order.shop.currency,
        )
        for item in order.items
    )
