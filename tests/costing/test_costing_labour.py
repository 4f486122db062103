import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.buy import BuySheet, buy
from estimator.costing.labour import LabourLine, labour_lines, minutes_of
from estimator.errors import Findings
from estimator.reading.build import Operation
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.takeoff.take_off import take_off

TESTS = Path(__file__).parents[1]
NOTHING_BOUGHT = BuySheet(boards=(), volumes=(), hardware=(), finish=(), consumables=())


@cache
def stands() -> Order:
    return read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def operation(
    *, per: str = "unit", minutes: str = "10", setup: str = "0", learning: str = "100", rate: str = "Maker"
) -> Operation:
    first = stands().items[0].build.labour[0]
    return replace(
        first,
        per=per,
        minutes=Decimal(minutes),
        setup_minutes=Decimal(setup),
        learning_percent=Decimal(learning),
        rate=rate,
    )


def order_of(*builds: tuple[int, tuple[Operation, ...]], shop_labour: tuple[Operation, ...] = ()) -> Order:
    """Plant stands under names of their own: how many of each, and its operations."""
    build = stands().items[0].build
    items = (
        OrderedBuild(build=replace(build, name=f"Stand {place}", labour=labour), quantity=quantity)
        for place, (quantity, labour) in enumerate(builds)
    )
    return replace(stands(), items=tuple(items), shop=replace(stands().shop, labour=shop_labour))


def lines_of(order: Order, sheet: BuySheet = NOTHING_BOUGHT) -> tuple[LabourLine, ...]:
    findings = Findings()
    lines = labour_lines(order, take_off(order, findings), sheet, findings)
    assert findings.faults == []
    return lines


def published_totals() -> list[dict[str, str]]:
    with (TESTS / "reference" / "learning_curve_examples.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["quantity"] == "total_time"]
    return [row for row in rows if row["status"] == "verified" and "Crawford" in row["model_or_formula"]]


@pytest.mark.parametrize("row", published_totals(), ids=lambda row: row["id"])
def test_a_batch_takes_the_total_time_that_textbooks_print(row: dict[str, str]) -> None:
    # Stevenson, Operations Management 14e, example 7S-2 (400 hours, 80 percent, 20 units: 4194); Heizer and Render,
    # solutions ch. 13. Their hours are our minutes.
    work = operation(minutes=row["first_unit_time"], learning=row["rate_percent"])
    (line,) = lines_of(order_of((int(row["n"]), (work,))))
    assert float(line.minutes) == pytest.approx(float(row["expected_value"]), abs=float(row["abs_tolerance"]))


def test_set_up_is_worked_once_a_batch_and_is_not_learned() -> None:
    # 30 minutes of set-up, 10 a unit at 80 percent: two units take 10 + 8, four 10 + 8 + 7.02 + 6.4 (80 percent curve,
    # third unit 0.702).
    work = operation(setup="30", learning="80")
    assert [lines_of(order_of((n, (work,))))[0].minutes for n in (1, 2)] == [Decimal("40.00"), Decimal("48.00")]
    assert float(lines_of(order_of((4, (work,))))[0].minutes) == pytest.approx(30 + 31.42, abs=0.01)


def test_work_done_once_is_not_learned() -> None:
    # A template for the batch, and a round trip for the order: one each, however many units.
    template = operation(per="batch", minutes="60", learning="80")
    trip = operation(per="order", minutes="75", learning="80")
    one, other = lines_of(order_of((12, (template,)), shop_labour=(trip,)))
    assert (one.minutes, one.learning_factor) == (Decimal("60.00"), Decimal(1))
    assert (other.minutes, other.learning_factor) == (Decimal("75.00"), Decimal(1))


def test_work_for_each_coat_is_done_once_a_batch_and_is_set_up() -> None:
    # Two coats of oil on however many stands: hanging up sheets and cleaning the brush, 15 minutes each time.
    booth = operation(per="coat", minutes="15", learning="80")
    for quantity in (1, 12):
        (line,) = lines_of(order_of((quantity, (booth,))))
        assert (line.count, line.minutes, line.setup_amount) == (Decimal(2), Decimal("30.00"), line.amount)


@pytest.mark.parametrize(
    ("minutes", "amount"),
    [
        ("60", "36.00"),
        ("1", "0.60"),
        ("0.125", "0.08"),  # 0.13 minutes as printed, 0.078
        ("100000", "60000.00"),
    ],
)
def test_minutes_are_paid_at_the_hourly_rate(minutes: str, amount: str) -> None:
    (line,) = lines_of(order_of((1, (operation(minutes=minutes),))))
    assert line.amount == Decimal(amount)


def test_half_a_cent_of_labour_is_rounded_up() -> None:
    # 3.8 minutes at 34.50: 3.8 x 34.50 / 60 = 2.185 exactly. An hour's share first, 0.0633..., would lose it.
    order = order_of((1, (operation(minutes="3.8"),)))
    rates = tuple(replace(rate, per_hour=Decimal("34.50")) for rate in order.prices.labour_rates)
    (line,) = lines_of(replace(order, prices=replace(order.prices, labour_rates=rates)))
    assert line.amount == Decimal("2.19")


def test_work_for_the_order_is_shared_by_the_builds_minutes() -> None:
    # 3 units x 10 and 1 x 90: 30 and 90 minutes, so a quarter and three quarters of 60 minutes, 36.00.
    order = order_of(
        (3, (operation(),)), (1, (operation(minutes="90"),)), shop_labour=(operation(per="order", minutes="60"),)
    )
    lines = lines_of(order)
    whole = lines[-1]
    assert whole.scope == "whole order"
    assert whole.shares == (Decimal("0.25"), Decimal("0.75"))
    assert whole.by_build == (Decimal("9.00"), Decimal("27.00"))
    assert (minutes_of(lines, 0), minutes_of(lines, 1)) == (Decimal(45), Decimal(135))


def test_work_for_the_order_is_shared_by_units_where_no_build_lists_any() -> None:
    (line,) = lines_of(order_of((3, ()), (1, ()), shop_labour=(operation(per="order", minutes="60"),)))
    assert line.shares == (Decimal("0.75"), Decimal("0.25"))


def test_unloading_is_counted_by_the_boards_bought() -> None:
    order = order_of((2, ()), shop_labour=(operation(per="board", minutes="1.5"),))
    # Two plant stands take two boards of 2x2 and two of 1x4 (see the hand-worked order).
    (line,) = lines_of(order, buy(order, take_off(order, Findings()), Findings()))
    assert (line.count, line.minutes) == (Decimal(4), Decimal("6.00"))


def test_an_operation_of_one_build_is_borne_by_it_alone() -> None:
    lines = lines_of(order_of((1, (operation(),)), (1, ()), (2, (operation(),))))
    assert [line.by_build for line in lines] == [
        (Decimal("6.00"), Decimal("0.00"), Decimal("0.00")),
        (Decimal("0.00"), Decimal("0.00"), Decimal("12.00")),
    ]


def test_a_rate_that_is_missing_is_asked_for() -> None:
    findings = Findings()
    order = order_of((1, (operation(rate="Makers"),)))
    labour_lines(order, take_off(order, findings), NOTHING_BOUGHT, findings)
    (fault,) = findings.faults
    assert 'labour_rates.csv has no rate "Makers"' in str(fault)
    assert 'did you mean "Maker"?' in str(fault)


@given(
    units=st.lists(st.integers(1, 60), min_size=1, max_size=4),
    minutes=st.decimals("0.01", 500, places=2),
    setup=st.decimals(0, 90, places=1),
    learning=st.integers(70, 100),
)
def test_every_minute_and_every_cent_is_borne_by_a_build(
    units: list[int], minutes: Decimal, setup: Decimal, learning: int
) -> None:
    work = operation(minutes=str(minutes), setup=str(setup), learning=str(learning))
    trip = operation(per="order", minutes="45", rate="Helper")
    lines = lines_of(order_of(*((count, (work,)) for count in units), shop_labour=(trip,)))
    for line in lines:
        assert sum(line.by_build) == line.amount
        assert all(part >= 0 for part in line.by_build)
        assert 0 <= line.setup_amount <= line.amount
        # Paid to the cent for the minutes as printed.
        assert abs(Fraction(line.amount) - Fraction(line.minutes) * Fraction(line.rate.per_hour) / 60) <= Fraction(
            1, 200
        )
    assert sum(minutes_of(lines, place) for place in range(len(units))) == sum(line.minutes for line in lines)


@given(few=st.integers(1, 100), more=st.integers(1, 100), learning=st.integers(70, 100))
def test_more_units_take_more_time_and_each_takes_less(few: int, more: int, learning: int) -> None:
    work = operation(minutes="10", setup="15", learning=str(learning))
    small, large = (lines_of(order_of((count, (work,))))[0] for count in (few, few + more))
    assert small.minutes < large.minutes
    assert large.minutes / (few + more) <= small.minutes / few
