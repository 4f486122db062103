from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.cutting_words import cut_text
from estimator.errors import Findings
from estimator.estimate import estimate
from estimator.reading.order import Order, read_order
from estimator.takeoff.lumber import PieceNeed
from estimator.takeoff.take_off import take_off
from estimator.wording import left_over_rows, price_text

EXAMPLES = Path(__file__).parents[1] / "examples"


@cache
def tearoom() -> Order:
    return read_order(EXAMPLES / "riverside_tearoom", today=date(2026, 11, 24))


def piece(name: str, order: Order) -> PieceNeed:
    needs = take_off(order, Findings()).order.lumber
    return next(one for need in needs for one in need.pieces if one.part.name == name)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Stretcher", "19 in"),
        ("Back cross rail", "22 in, rip to 2 1/2 in"),
        ("Arm", "24 1/2 in, clip 1 1/4 in x 1 1/4 in at bottom right and top right"),
        # 16 + 3 1/2 x tan 3 would be 16.18; the leg is 2 1/2 wide: 16 + 2.5 x 0.05241 = 16.131, and the wider kerf
        # 0.125 x (1 / cos 3 - 1) = 0.0002: up to 16 9/64 = 16.141.
        ("Leg", "16 in, ends 3 deg / and 3 deg /, takes 16 9/64 in, rip to 2 1/2 in"),
    ],
)
def test_the_saw_is_told_all_that_is_done_to_a_piece(name: str, said: str) -> None:
    assert cut_text(piece(name, tearoom()), "in") == said


def test_planing_is_told_in_millimetres() -> None:
    bench = read_order(EXAMPLES / "orchard_bench", today=date(2026, 11, 24))
    assert cut_text(piece("Seat slat", bench), "mm") == "1490 mm, rip to 100 mm, plane to 22 mm"


def test_a_price_finer_than_a_cent_keeps_its_decimals() -> None:
    row = tearoom().prices.hardware[0]
    assert price_text(tearoom(), row.price) == "$12.40"
    assert price_text(tearoom(), row.price / 1000) == "$0.0124"


def test_nothing_left_over_is_no_line() -> None:
    sheet = estimate(tearoom()).buy_sheet
    assert "Natural bristle brush" not in {what for what, _ in left_over_rows(tearoom(), sheet)}


def test_a_quote_without_work_or_with_prices_from_the_future_is_noticed() -> None:
    first, *others = tearoom().items
    idle = replace(tearoom(), items=(replace(first, build=replace(first.build, labour=())), *others))
    assert [notice.message for notice in estimate(idle).notices] == [
        "lists no labour; the price holds no work for it, so write its labour.csv"
    ]
    lumber = tuple(replace(row, day=date(2027, 10, 2)) for row in tearoom().prices.lumber)
    early = replace(tearoom(), prices=replace(tearoom().prices, lumber=lumber))
    messages = {notice.message for notice in estimate(early).notices}
    assert messages == {
        f"the price of {line.item} is of 2027-10-02, after the quote's 2026-11-24; mend whichever is wrong"
        for purchase in estimate(early).buy_sheet.boards
        for line in purchase.lines
    }


def test_the_reach_of_a_leg_by_hand() -> None:
    assert piece("Leg", tearoom()).blank_length_in == 16 + Fraction(9, 64)
