from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

from estimator.buying.board_purchase import Spares
from estimator.errors import Findings
from estimator.estimate import estimate
from estimator.reading.order import Order, read_order
from estimator.takeoff.lumber import PieceNeed
from estimator.takeoff.take_off import take_off
from estimator.wording import left_over_rows, plan_text, price_text

EXAMPLES = Path(__file__).parents[1] / "examples"


@cache
def tearoom() -> Order:
    return read_order(EXAMPLES / "riverside_tearoom", today=date(2026, 11, 24))


def piece(name: str, order: Order) -> PieceNeed:
    needs = take_off(order, Findings()).order.lumber
    return next(one for need in needs for one in need.pieces if one.part.name == name)


def test_a_price_finer_than_a_cent_keeps_its_decimals() -> None:
    row = tearoom().prices.hardware[0]
    assert price_text(tearoom(), row.price) == "$12.40"
    assert price_text(tearoom(), row.price / 1000) == "$0.0124"


def test_spare_boards_are_told_apart_from_the_plan() -> None:
    # 8 boards at 23.36 are 186.88; two more of them make 10 boards for 233.60.
    purchase = next(one for one in estimate(tearoom()).buy_sheet.boards if one.title.endswith("5/4x6"))
    spares = Spares(offer=purchase.layouts[0].offer, boards=2)
    (line,) = purchase.lines
    more = replace(line, amount=line.amount + spares.amount)
    assert plan_text(tearoom(), replace(purchase, lines=(more,), spares=spares)).startswith(
        "10 boards, 80 ft, 50.0 board feet for $233.60, 2 of 8 ft to spare for $46.72; the others for $186.88, the "
        "cheapest possible from the price table; 97.4 % of their wood becomes parts."
    )


def test_nothing_left_over_is_no_line() -> None:
    sheet = estimate(tearoom()).buy_sheet
    assert "Natural bristle brush" not in {what for what, _ in left_over_rows(tearoom(), sheet)}


def test_a_quote_without_work_or_with_prices_from_the_future_is_noticed() -> None:
    first, *others = tearoom().items
    idle = replace(tearoom(), items=(replace(first, build=replace(first.build, labour=())), *others))
    assert [notice.message for notice in estimate(idle).notices] == [
        "lists no labour; the price holds no work for it but sanding, so write its labour.csv"
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
