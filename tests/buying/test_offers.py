from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.buy import buy
from estimator.errors import Findings, Origin
from estimator.reading.cutting_settings import SawSettings
from estimator.reading.order import Order, read_order
from estimator.reading.parts import Part
from estimator.reading.sold import LumberPrice
from estimator.reading.stock import StockRow
from estimator.solid import Shape
from estimator.standards.sections import Section, parse_section
from estimator.takeoff.take_off import take_off

CEDAR, SECTION = "western redcedar", parse_section("2x4")


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def on_hand(length: int, quantity: int, value: str | None = None, grade: str = "") -> StockRow:
    return StockRow(
        origin=Origin(file="stock.csv", line=2),
        species=CEDAR,
        grade=grade,
        section=SECTION,
        length_in=Fraction(length),
        quantity=quantity,
        value=None if value is None else Decimal(value),
        place="rack",
        note="",
    )


def price_of(length: int, price: str, section: Section = SECTION) -> LumberPrice:
    row = stands().prices.lumber[0]
    return replace(row, species=CEDAR, grade="", section=section, length_in=Fraction(length), price=Decimal(price))


def piece(
    length: int,
    quantity: int,
    section: Section = SECTION,
    width: Fraction | None = None,
    thickness: Fraction | None = None,
) -> Part:
    row = stands().items[0].build.parts[0]
    shape = Shape(
        length_in=Fraction(length),
        width_in=width or section.width_in or Fraction(1),
        thickness_in=thickness or section.thickness_in,
    )
    return replace(row, name=f"Rail {length}", species=CEDAR, grade="", section=section, quantity=quantity, shape=shape)


# Kerf 1/8, no trim.
SAW = replace(stands().shop.saw, kerf_in=Fraction(1, 8), rip_kerf_in=Fraction(1, 8), end_trim_in=Fraction(0))


def order_of(
    parts: tuple[Part, ...],
    rows: tuple[LumberPrice, ...],
    stock: tuple[StockRow, ...] = (),
    saw: SawSettings = SAW,
) -> Order:
    """One build of these parts, boards priced each, nothing else to buy."""
    order = stands()
    build = replace(order.items[0].build, parts=parts, hardware=(), finish=(), consumables=(), labour=())
    return replace(
        order,
        items=(replace(order.items[0], build=build, quantity=1),),
        shop=replace(order.shop, saw=saw),
        prices=replace(order.prices, lumber=rows),
        stock=stock,
    )


def bought(order: Order) -> BoardPurchase:
    findings = Findings()
    sheet = buy(order, take_off(order, findings), findings)
    assert findings.faults == []
    return sheet.boards[0]


def faults(order: Order) -> list[str]:
    findings = Findings()
    buy(order, take_off(order, findings), findings)
    return [str(fault) for fault in findings.faults]


def lines(purchase: BoardPurchase) -> list[tuple[str, int, int, Decimal]]:
    return [
        (line.row.supplier, int(offer.length_in), int(line.quantity), line.amount)
        for line, (offer, _) in zip(purchase.lines, purchase.boards_by_offer(), strict=True)
    ]


YARD = stands().prices.lumber[0].supplier


def test_boards_on_hand_are_used_first_and_cost_nothing() -> None:
    # Three of 40: two offcuts of 45 hold one each, the third takes a board of 48 for 6.00.
    purchase = bought(order_of((piece(40, 3),), (price_of(48, "6.00"),), (on_hand(45, 2),)))
    assert lines(purchase) == [("On hand", 45, 2, Decimal(0)), (YARD, 48, 1, Decimal("6.00"))]
    assert purchase.proved


def test_a_board_on_hand_of_another_grade_is_left_on_the_rack() -> None:
    purchase = bought(order_of((piece(40, 1),), (price_of(48, "6.00"),), (on_hand(45, 2, grade="Rough Knotty"),)))
    assert lines(purchase) == [(YARD, 48, 1, Decimal("6.00"))]


def test_at_cost_an_offcut_counts_its_share_of_the_cheapest_price_a_foot() -> None:
    # 96 in for 9.60 are 0.10 an inch, 48 in for 6.00 are 0.125: an offcut of 45 counts 4.50, less than the 6.00.
    rows = (price_of(48, "6.00"), price_of(96, "9.60"))
    purchase = bought(order_of((piece(40, 1),), rows, (on_hand(45, 1),), replace(SAW, stock_value="cost")))
    assert lines(purchase) == [("On hand", 45, 1, Decimal("4.50"))]


def test_of_boards_that_count_the_same_those_on_hand_are_used_up_first() -> None:
    # Two of 40 to a board of 96: four boards at 9.60, two of them on the rack at the same cost.
    saw = replace(SAW, stock_value="cost")
    purchase = bought(order_of((piece(40, 8),), (price_of(96, "9.60"),), (on_hand(96, 2),), saw))
    assert lines(purchase) == [("On hand", 96, 2, Decimal("19.20")), (YARD, 96, 2, Decimal("19.20"))]
    assert purchase.proved


def test_at_a_set_value_a_dear_offcut_stays_where_it_is() -> None:
    rows = (price_of(48, "6.00"),)
    kept = bought(order_of((piece(40, 1),), rows, (on_hand(45, 1, "6.01"),), replace(SAW, stock_value="set")))
    used = bought(order_of((piece(40, 1),), rows, (on_hand(45, 1, "5.99"),), replace(SAW, stock_value="set")))
    assert [line[0] for line in lines(kept)] == [YARD]
    assert [line[0] for line in lines(used)] == ["On hand"]


def test_what_is_all_on_hand_needs_no_price() -> None:
    purchase = bought(order_of((piece(40, 2),), (), (on_hand(96, 1),)))
    assert lines(purchase) == [("On hand", 96, 1, Decimal(0))]


def test_too_little_on_hand_and_no_price_is_a_fault_with_what_stays_uncut() -> None:
    (fault,) = faults(order_of((piece(40, 3),), (), (on_hand(96, 1),)))
    assert "the boards on hand leave uncut: 1 of" in fault
    assert "lumber.csv has no price for western redcedar 2x4; add a row" in fault


def test_at_cost_without_a_price_is_a_fault() -> None:
    found = faults(order_of((piece(40, 1),), (), (on_hand(96, 1),), replace(SAW, stock_value="cost")))
    assert any(
        fault.startswith("stock.csv:2: section: western redcedar 2x4 on hand is to count at cost") for fault in found
    )


def test_a_piece_longer_than_what_the_yard_sells_may_come_from_the_rack() -> None:
    purchase = bought(order_of((piece(100, 1), piece(40, 1)), (price_of(48, "6.00"),), (on_hand(120, 1),)))
    assert lines(purchase) == [(YARD, 48, 1, Decimal("6.00")), ("On hand", 120, 1, Decimal(0))]


@pytest.mark.parametrize(
    ("percent", "at_least", "boards"),
    [("0", 0, 0), ("10", 0, 1), ("10", 2, 2), ("50", 1, 2), ("100", 0, 4)],  # of four boards: 0.4 is one whole board
)
def test_spare_boards_are_a_share_and_at_least_so_many(percent: str, at_least: int, boards: int) -> None:
    asked = order_of(
        (piece(40, 4),),
        (price_of(48, "6.00"),),
        saw=replace(SAW, spare_boards_percent=Decimal(percent), spare_boards_at_least=at_least),
    )
    purchase = bought(asked)
    assert purchase.boards == 4 + boards
    assert purchase.amount == (4 + boards) * Decimal("6.00")
    assert (purchase.planned_amount, purchase.bound) == (Decimal("24.00"), Decimal("24.00"))
    assert purchase.used_share == Fraction(4, 4 + boards)  # 8 in left on each board are no usable offcut


def test_a_spare_can_take_the_place_of_any_board_in_the_plan() -> None:
    # 90 needs the board of 96, 40 the one of 48: the spare is a long one.
    asked = order_of(
        (piece(90, 1), piece(40, 1)),
        (price_of(48, "6.00"), price_of(96, "13.00")),
        saw=replace(SAW, spare_boards_at_least=1),
    )
    assert lines(bought(asked)) == [(YARD, 48, 1, Decimal("6.00")), (YARD, 96, 2, Decimal("26.00"))]


def test_where_a_board_on_hand_is_longer_than_any_for_sale_the_longest_of_those_is_the_spare() -> None:
    asked = order_of(
        (piece(100, 1), piece(40, 1)),
        (price_of(48, "6.00"), price_of(72, "9.50")),
        (on_hand(120, 1),),
        replace(SAW, spare_boards_at_least=1),
    )
    assert (YARD, 72, 1, Decimal("9.50")) in lines(bought(asked))


ROUGH = parse_section("8/4x6 rough")


def rough_piece(length: int, width: str, thickness: str, quantity: int = 1) -> Part:
    return piece(length, quantity, ROUGH, Fraction(width), Fraction(thickness))


def test_a_rough_board_gives_blanks_that_are_longer_and_wider_than_their_parts() -> None:
    # 2 3/4 + 1/4 and a rip kerf of 1/8, twice, is 6 1/8: one strip a board; 2 5/8 gives 2 7/8 + 1/8 + 2 7/8 = 5 7/8.
    rows = (price_of(48, "20.00", ROUGH),)
    wide = bought(order_of((rough_piece(40, "2.75", "1.75", 2),), rows))
    narrow = bought(order_of((rough_piece(40, "2.625", "1.75", 2),), rows))
    assert (wide.boards, narrow.boards) == (2, 1)
    (blank,) = narrow.layouts[0].strips[0].blanks
    assert blank.end_in - blank.start_in == 41  # an inch more than the part


def test_a_rough_board_too_thin_or_too_narrow_is_told() -> None:
    rows = (price_of(48, "20.00", ROUGH),)
    thin, narrow = faults(order_of((rough_piece(40, "5.875", "1.875"),), rows))
    assert "takes 2 1/16 in of thickness with what milling takes off, and 8/4x6 rough has 2 in" in thin
    assert "takes 6 1/8 in of width with what milling takes off, and 8/4x6 rough has 6 in" in narrow
