from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.keeping.check import price_doubts
from estimator.reading.order import Order, read_order
from estimator.reading.sold import LumberPrice
from estimator.reading.trade_units import parse_per
from estimator.standards.sections import parse_section

TODAY = date(2026, 3, 2)


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=TODAY)


def board(feet: int, price: str, per: str = "each", day: date = TODAY) -> LumberPrice:
    """A 2x4: 8 ft of it hold 5 1/3 board feet."""
    row = replace(stands().prices.lumber[0], section=parse_section("2x4"))
    return replace(row, length_in=Fraction(feet * 12), price=Decimal(price), per=per, pricing=parse_per(per), day=day)


def doubts(rows: Sequence[LumberPrice]) -> list[str]:
    tables = replace(stands().prices, lumber=tuple(rows), hardware=(), finishes=(), consumables=())
    return [notice.message for notice in price_doubts(tables, stands().shop, TODAY)]


def test_prices_of_one_wood_that_agree_are_no_doubt() -> None:
    # 16.00 for 8 ft is 3.00 a board foot; 2.00 a foot and 3000 a thousand board feet are the same.
    assert doubts([board(8, "16.00"), board(10, "2.00", "ft"), board(12, "3000", "MBF")]) == []


@pytest.mark.parametrize(("price", "said"), [("160.00", "30.00"), ("1.60", "0.30")])
def test_a_slip_of_the_decimal_point_is_told(price: str, said: str) -> None:
    (told,) = doubts([board(8, price), board(10, "20.00"), board(12, "24.00")])
    assert f"costs {said} a board foot" in told
    assert "is 3.00; is what it is per right" in told


def test_a_length_missing_in_a_series_is_told() -> None:
    (told,) = doubts([board(8, "16"), board(10, "20"), board(14, "28"), board(16, "32")])
    assert told.endswith("is listed in even steps, but not in 12 ft")


def test_lengths_in_uneven_steps_are_no_series() -> None:
    assert doubts([board(8, "16"), board(10, "20"), board(13, "26")]) == []


def test_old_prices_are_told_once_a_file_at_the_oldest() -> None:
    limit = stands().shop.stale_after_days
    old = [board(8, "16", day=date(2020, 1, 1)), board(10, "20", day=date(2019, 1, 1)), board(12, "24")]
    assert doubts(old) == [f"2 prices are older than {limit} days; the oldest is this one, of 2019-01-01"]
