"""Labour: minutes for each operation from what drives it, set-up once a batch, and what they cost."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.buy import BuySheet, notice_if_stale
from estimator.costing.bill import SHARE_DIGITS, stated_shares
from estimator.errors import Findings
from estimator.money import apportion, rounded
from estimator.reading.build import Operation
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.prices import LabourRate
from estimator.standards.learning import total_factor
from estimator.takeoff.take_off import TakeOff
from estimator.takeoff.work import Counts

MINUTE_DIGITS = 2
WHOLE_ORDER = "whole order"
DONE_ONCE = ("batch", "order")  # however many units are made, so there is nothing to get quicker at


@dataclass(frozen=True, kw_only=True, slots=True)
class LabourLine:
    """One operation on all units of one build, or on the whole order.

    Minutes = count x minutes for each x learning factor + set-up minutes. The learning factor is the average of all
    units against the first (Crawford's unit model); it is 1 where no learning is given, and for work that is done
    once, which counts as set-up. `shares` and `by_build` are in the order of the order's builds.
    """

    scope: str
    operation: Operation
    count: Decimal
    learning_factor: Decimal
    minutes: Decimal
    rate: LabourRate
    amount: Decimal
    setup_amount: Decimal
    shares: tuple[Decimal, ...]
    by_build: tuple[Decimal, ...]


def labour_lines(order: Order, takeoff: TakeOff, sheet: BuySheet, findings: Findings) -> tuple[LabourLine, ...]:
    """Return the operations of each build, then those of the whole order, which the builds share by their minutes."""
    lines = []
    for place, build in enumerate(takeoff.builds):
        shares = tuple(Fraction(int(place == other)) for other in range(len(takeoff.builds)))
        scope, units = build.item.build.name, build.item.quantity
        lines += [
            _line(order, scope, operation, build.needs.counts, units, shares, findings)
            for operation in build.item.build.labour
        ]
    boards = sum(purchase.boards for purchase in sheet.boards)
    counts = {**takeoff.order.counts, "board": Decimal(boards)}
    units = sum(item.quantity for item in order.items)
    shares = _shares_by_minutes(order, lines)
    lines += [_line(order, WHOLE_ORDER, operation, counts, units, shares, findings) for operation in order.shop.labour]
    return tuple(lines)


def minutes_of(lines: tuple[LabourLine, ...], place: int) -> Decimal:
    """Return the minutes that one build bears."""
    return sum((line.minutes * line.shares[place] for line in lines), Decimal(0))


def _line(
    order: Order,
    scope: str,
    operation: Operation,
    counts: Counts,
    units: int,
    shares: tuple[Fraction, ...],
    findings: Findings,
) -> LabourLine:
    rate = _rate(order, operation, findings)
    count = counts[operation.per]
    repeats = 1 if operation.per in DONE_ONCE else units
    average = total_factor(float(operation.learning_percent), repeats) / repeats
    learning_factor = rounded(Fraction(average), SHARE_DIGITS)
    minutes = rounded(count * operation.minutes * learning_factor + operation.setup_minutes, MINUTE_DIGITS)
    currency = order.shop.currency
    amount = currency.rounded(minutes * rate.per_hour / 60)  # divided last, so that half a cent stays one
    stated = stated_shares(shares)
    return LabourLine(
        scope=scope,
        operation=operation,
        count=count,
        learning_factor=learning_factor,
        minutes=minutes,
        rate=rate,
        amount=amount,
        setup_amount=amount
        if operation.per in DONE_ONCE
        else min(amount, currency.rounded(operation.setup_minutes * rate.per_hour / 60)),
        shares=stated,
        by_build=apportion(amount, stated, currency.digits),
    )


def _rate(order: Order, operation: Operation, findings: Findings) -> LabourRate:
    rates = [rate for rate in order.prices.labour_rates if name_key(rate.name) == name_key(operation.rate)]
    if len(rates) > 1:
        findings.fault(
            rates[1].origin, f'gives "{rates[1].name}" a second rate; keep one of it and line {rates[0].origin.line}'
        )
    if rates:
        notice_if_stale(rates[0].origin, rates[0].day, order, findings, item=rates[0].name)
        return rates[0]
    known = {rate.name for rate in order.prices.labour_rates}
    findings.fault(
        operation.origin,
        f'labour_rates.csv has no rate "{operation.rate}"{nearest(operation.rate, known)}; add a row',
        "rate",
    )
    return LabourRate(origin=operation.origin, name=operation.rate, per_hour=Decimal(1), day=order.day)


def _shares_by_minutes(order: Order, lines: list[LabourLine]) -> tuple[Fraction, ...]:
    """Return each build's share of the builds' own minutes; by units where no build lists any labour."""
    minutes = [Fraction(minutes_of(tuple(lines), place)) for place in range(len(order.items))]
    weights = minutes if sum(minutes) else [Fraction(item.quantity) for item in order.items]
    return tuple(weight / sum(weights) for weight in weights)
