"""Labour: minutes for each operation from what drives it, set-up once a batch, and what they cost."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from estimator.buying.buy import BuySheet, notice_if_stale
from estimator.costing.bill import SHARE_DIGITS, stated_shares
from estimator.errors import Findings, RowToFill
from estimator.money import apportion, rounded
from estimator.reading.build import Operation
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.prices import LabourRate
from estimator.standards.learning import total_factor
from estimator.takeoff.sanding import SandedArea
from estimator.takeoff.take_off import TakeOff

MINUTE_DIGITS = 2
WHOLE_ORDER = "whole order"
DONE_ONCE = ("batch", "order", "coat")  # however many units are made, so there is nothing to get quicker at


@dataclass(frozen=True, kw_only=True, slots=True)
class LabourLine:
    """One operation on all units of one build, or on the whole order.

    Minutes = count x minutes for each x learning factor + set-up minutes. The learning factor is the average of all
    units against the first (Crawford's unit model); it is 1 where no learning is given, and for work that is done
    once, which counts as set-up. `shares` and `by_build` are in the order of the order's builds. `place` is that of
    the build, None for work on the whole order; `sanded` is what the operation sands, if it does.
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
    place: int | None = None
    sanded: SandedArea | None = None


def labour_lines(order: Order, takeoff: TakeOff, sheet: BuySheet, findings: Findings) -> tuple[LabourLine, ...]:
    """Return the operations of each build, its sanding last, then those of the whole order.

    The builds share these by their minutes.
    """
    lines = [line for place in range(len(takeoff.builds)) for line in _lines_of_build(order, takeoff, place, findings)]
    boards = sum(purchase.boards for purchase in sheet.boards)
    counts = {**takeoff.order.counts, "board": Decimal(boards)}
    units = sum(item.quantity for item in order.items)
    shares = shares_by_minutes(order, tuple(lines))
    lines += [
        _line(order, WHOLE_ORDER, operation, counts[operation.per], units, shares, findings)
        for operation in order.shop.labour
    ]
    return tuple(lines)


def _lines_of_build(order: Order, takeoff: TakeOff, place: int, findings: Findings) -> list[LabourLine]:
    item, needs = takeoff.builds[place].item, takeoff.builds[place].needs
    shares = tuple(Fraction(int(place == other)) for other in range(len(takeoff.builds)))
    own = [(operation, needs.counts[operation.per], None) for operation in item.build.labour]
    sanding = [(_sanding_operation(order, one), one.counted, one) for one in needs.sanded]
    return [
        replace(
            _line(order, item.build.name, operation, count, item.quantity, shares, findings), place=place, sanded=sanded
        )
        for operation, count, sanded in (*own, *sanding)
    ]


def _sanding_operation(order: Order, sanded: SandedArea) -> Operation:
    """Return sanding with one grit as an operation; nobody gets quicker at it, for the disc sets the pace."""
    factor = f"; edges and ends counted {sanded.edge_factor} times" if sanded.edge_factor != 1 else ""
    return Operation(
        origin=order.shop.sanding.origin,
        name=f"Sand {sanded.grit.grit} grit, {sanded.sanding.when}",
        per=f"{sanded.area_unit} sanded",
        minutes=sanded.minutes_each,
        setup_minutes=Decimal(0),
        rate=order.shop.sanding.rate,
        learning_percent=Decimal(100),
        note=f"{sanded.sanding.covering}{factor}",
    )


def minutes_of(lines: tuple[LabourLine, ...], place: int) -> Decimal:
    """Return the minutes that one build bears."""
    return sum((line.minutes * line.shares[place] for line in lines), Decimal(0))


def _line(
    order: Order,
    scope: str,
    operation: Operation,
    count: Decimal,
    units: int,
    shares: tuple[Fraction, ...],
    findings: Findings,
) -> LabourLine:
    rate = _rate(order, operation, findings)
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


def rates_named(name: str, rates: Iterable[LabourRate]) -> list[LabourRate]:
    """Return the rows of a labour rate, whatever the spelling."""
    return [rate for rate in rates if name_key(rate.name) == name_key(name)]


def _rate(order: Order, operation: Operation, findings: Findings) -> LabourRate:
    rates = rates_named(operation.rate, order.prices.labour_rates)
    if len(rates) > 1:
        findings.fault(
            rates[1].origin, f'gives "{rates[1].name}" a second rate; keep one of it and line {rates[0].origin.line}'
        )
    if rates:
        notice_if_stale(rates[0].origin, rates[0].day, order, findings, item=rates[0].name)
        return rates[0]
    hint = nearest(operation.rate, {rate.name for rate in order.prices.labour_rates})
    findings.fault(
        operation.origin,
        f'labour_rates.csv has no rate "{operation.rate}"{hint}; add a row',
        "rate",
        rows=(_missing_rate(order, operation, hint),),
    )
    return LabourRate(origin=operation.origin, name=operation.rate, per_hour=Decimal(1), day=order.day)


def _missing_rate(order: Order, operation: Operation, hint: str) -> RowToFill:
    return RowToFill(
        table=order.shop.price_tables / "labour_rates.csv",
        item=f"an hour of {operation.rate}",
        origin=operation.origin,
        known=(("rate", operation.rate),),
        hint=hint,
    )


def shares_by_minutes(order: Order, lines: tuple[LabourLine, ...]) -> tuple[Fraction, ...]:
    """Return each build's share of the builds' own minutes; by units where no build lists any labour."""
    own = tuple(line for line in lines if line.place is not None)
    minutes = [Fraction(minutes_of(own, place)) for place in range(len(order.items))]
    weights = minutes if sum(minutes) else [Fraction(item.quantity) for item in order.items]
    return tuple(weight / sum(weights) for weight in weights)
