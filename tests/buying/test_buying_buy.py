from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from estimator.buying.buy import BuySheet, buy
from estimator.errors import EstimatorError, Findings
from estimator.estimate import estimate
from estimator.reading.order import Order, read_order
from estimator.reading.sold import LumberPrice
from estimator.takeoff.take_off import take_off


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def with_lumber(*rows: LumberPrice) -> Order:
    return replace(stands(), prices=replace(stands().prices, lumber=rows))


def bought(order: Order, findings: Findings) -> BuySheet:
    return buy(order, take_off(order, findings), findings)


def test_everything_missing_is_reported_in_one_go() -> None:
    nothing = replace(
        stands().prices, lumber=(), hardware=(), finishes=(), spread_rates=(), consumables=(), labour_rates=()
    )
    with pytest.raises(EstimatorError) as error:
        estimate(replace(stands(), prices=nothing))
    told = str(error.value)
    for words in (
        "lumber.csv has no price for western redcedar 2x2",
        "lumber.csv has no price for western redcedar 1x4",
        "hardware.csv has no price for screw #8 x 1 1/4 in, stainless",
        "hardware.csv has no price for screw #8 x 2 in, stainless",
        'finishes.csv has no price for "Meadow oil"',
        'spread_rates.csv has no rate for "Meadow oil"',
        'consumables.csv has no price for "Sanding disc"',
        'labour_rates.csv has no rate "Maker"',
        'labour_rates.csv has no rate "Helper"',
    ):
        assert words in told
    assert len(told.splitlines()) == len(error.value.faults) == len(set(error.value.faults))


def test_a_price_past_the_shops_limit_is_noticed_where_it_is_used() -> None:
    # The limit is 180 days. Lumber was priced on 2026-02-10; 180 days later it still holds, a day later it does not.
    last_day = date(2026, 2, 10) + timedelta(days=180)
    used_lines = {"lumber.csv:3", "lumber.csv:4"}  # 8 ft of 2x2, 6 ft of 1x4
    for day, stale in ((last_day, set()), (last_day + timedelta(days=1), used_lines)):
        findings = Findings()
        bought(replace(stands(), day=day), findings)
        noticed = {f"{Path(notice.origin.file).name}:{notice.origin.line}" for notice in findings.notices}
        assert {line for line in noticed if line.startswith("lumber")} == stale


def test_an_old_labour_rate_is_noticed_too() -> None:
    order = replace(stands(), day=date(2026, 1, 1) + timedelta(days=181))
    noticed = [notice for notice in estimate(order).notices if notice.origin.file.endswith("labour_rates.csv")]
    assert [notice.origin.line for notice in noticed] == [2, 3]
    assert "181 days before the quote" in noticed[0].message


def test_parts_without_a_grade_take_the_only_grade_there_is() -> None:
    findings = Findings()
    assert [purchase.title for purchase in bought(stands(), findings).boards] == [
        "western redcedar Select 2x2",
        "western redcedar Select 1x4",
    ]
    assert findings.faults == []


def test_parts_that_name_the_only_grade_share_boards_with_parts_that_name_none() -> None:
    order = stands()
    (item,) = order.items
    first, *others = item.build.parts
    named = replace(item, build=replace(item.build, parts=(replace(first, grade="SELECT"), *others)))
    purchases = bought(replace(order, items=(named,)), Findings()).boards
    assert [purchase.amount for purchase in purchases] == [
        purchase.amount for purchase in bought(order, Findings()).boards
    ]


def test_of_several_grades_one_must_be_named() -> None:
    rows = stands().prices.lumber
    findings = Findings()
    bought(with_lumber(*rows, replace(rows[0], grade="Knotty")), findings)
    (fault,) = findings.faults
    assert "western redcedar 2x2 is sold in several grades (Select, Knotty); name one" in str(fault)


def test_a_grade_spelt_in_two_ways_is_one_grade() -> None:
    rows = stands().prices.lumber
    findings = Findings()
    sheet = bought(with_lumber(rows[0], replace(rows[1], grade="SELECT", price=Decimal("7.00")), *rows[2:]), findings)
    assert findings.faults == []
    assert sheet.boards[0].amount == Decimal("14.00")


def test_a_misspelt_species_is_asked_back() -> None:
    rows = tuple(replace(row, species="western redceder") for row in stands().prices.lumber)
    findings = Findings()
    bought(with_lumber(*rows), findings)
    assert 'did you mean "western redceder Select 2x2"?' in str(findings.faults[0])


def test_the_buy_sheet_adds_up() -> None:
    sheet = bought(stands(), Findings())
    assert sheet.amount == sum(line.amount for purchase in sheet.purchases for line in purchase.lines)
    assert [purchase.kind for purchase in sheet.purchases] == [
        "lumber",
        "lumber",
        "hardware",
        "hardware",
        "finish",
        "consumables",
    ]
