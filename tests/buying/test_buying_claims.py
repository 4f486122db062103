"""What the buy sheet claims of its boards must hold for the lengths as they are."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.buy import buy
from estimator.buying.layouts import is_usable
from estimator.errors import Findings
from estimator.estimate import estimate
from estimator.reading.order import Order, read_order
from estimator.reading.parts import Part
from estimator.takeoff.take_off import take_off
from estimator.wording import claim_text

STANDS = Path(__file__).parents[1] / "hand_worked" / "plant_stands"


@cache
def stands() -> Order:
    return read_order(STANDS, today=date(2026, 3, 2))


def boards_for(
    pieces: list[tuple[int, Fraction]], boards: list[tuple[Fraction, str]], *, kerf_in: Fraction
) -> BoardPurchase:
    """Buy boards of 2x2 for square pieces (how many, how long), no ends trimmed, from boards (how long, price)."""
    order = stands()
    (item,) = order.items
    part = next(part for part in item.build.parts if part.section.text == "2x2")
    parts = tuple(_square(part, number, count, length) for number, (count, length) in enumerate(pieces))
    row = next(row for row in order.prices.lumber if row.section.text == "2x2")
    lumber = tuple(replace(row, length_in=length, price=Decimal(price)) for length, price in boards)
    lumber = tuple(replace(one, pricing=replace(one.pricing, basis="each", units=Fraction(1))) for one in lumber)
    saw = replace(order.shop.saw, kerf_in=kerf_in, end_trim_in=Fraction(0))
    order = replace(
        order,
        items=(replace(item, quantity=1, build=replace(item.build, parts=parts)),),
        prices=replace(order.prices, lumber=lumber),
        shop=replace(order.shop, saw=saw),
    )
    findings = Findings()
    (purchase,) = buy(order, take_off(order, findings), findings).boards
    return purchase


def _square(part: Part, number: int, count: int, length_in: Fraction) -> Part:
    shape = replace(part.shape, length_in=length_in, left_degrees=Fraction(0), right_degrees=Fraction(0), clips=())
    return replace(part, name=f"piece {number}", quantity=count, shape=shape)


def test_a_board_that_is_just_filled_counts_although_its_lengths_share_no_coarse_step() -> None:
    # Two of 47 15/16 and a kerf of 1/8 are just 96. The third piece, 3.333, comes from a board of 5 at 1.00: together
    # 11.00. Rounded up to tenths of a millimetre the two would not fit on one board, and two boards would be "proved".
    eighth = Fraction(1, 8)
    pieces = [(2, 47 + Fraction(15, 16)), (1, Fraction("3.333"))]
    purchase = boards_for(pieces, [(Fraction(96), "10.00"), (Fraction(5), "1.00")], kerf_in=eighth)
    assert purchase.amount == Decimal("11.00")
    assert purchase.proved


def test_pieces_that_miss_a_board_by_a_hair_are_not_cut_from_it() -> None:
    # Two of 47 15/16 and a hair (0.0001) more miss 96 with a kerf of 1/8: two boards. The bound may stay below, for it
    # is worked out with rounded lengths.
    hair = 47 + Fraction(15, 16) + Fraction("0.0001")
    purchase = boards_for([(2, hair)], [(Fraction(96), "10.00")], kerf_in=Fraction(1, 8))
    assert purchase.amount == Decimal("20.00")
    assert purchase.bound <= purchase.amount
    for layout in purchase.layouts:
        assert sum(blank.end_in - blank.start_in for blank in layout.blanks) <= 96


def test_the_claim_names_what_the_plan_leaves_out() -> None:
    order = read_order(Path(__file__).parents[2] / "examples" / "riverside_tearoom", today=date(2026, 11, 24))
    claims = {one.need.section.text: claim_text(order, one) for one in estimate(order).buy_sheet.boards}
    within = "(each board ripped once and crosscut once)"
    assert claims["2x4"].endswith(f"the cheapest possible from the price table {within}")
    assert claims["2x6"].endswith(f"the cheapest possible from the price table {within}")
    assert claims["5/4x6"].endswith("the cheapest possible from the price table")


def test_nothing_left_is_nothing_to_keep() -> None:
    purchase = boards_for([(2, Fraction(48))], [(Fraction(96), "10.00")], kerf_in=Fraction(0))
    (layout,) = purchase.layouts
    assert layout.left_over_in == 0
    assert not is_usable(layout, replace(stands().shop.saw, usable_offcut_in=Fraction(0)))
