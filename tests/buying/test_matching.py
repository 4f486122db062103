from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.buy import buy
from estimator.buying.matching import matching_sets
from estimator.errors import Findings
from estimator.reading.order import Order, read_order
from estimator.reading.parts import Part
from estimator.solid import Shape
from estimator.standards.sections import parse_section
from estimator.takeoff.take_off import take_off
from estimator.wording import plan_text

STANDS = read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))
SECTION = parse_section("1x4")


def part(name: str, length: int, quantity: int, match: str) -> Part:
    shape = Shape(length_in=Fraction(length), width_in=Fraction(7, 2), thickness_in=Fraction(3, 4))
    row = STANDS.items[0].build.parts[0]
    return replace(
        row,
        name=name,
        species="western redcedar",
        grade="",
        section=SECTION,
        quantity=quantity,
        shape=shape,
        match=match,
    )


def order_of(quantity: int, *parts: Part) -> Order:
    """So many of a bench, from boards of 100 in at 10.00; no kerf, no trim."""
    build = replace(STANDS.items[0].build, name="Bench", parts=parts, hardware=(), finish=(), consumables=(), labour=())
    row = replace(
        STANDS.prices.lumber[0],
        species="western redcedar",
        grade="",
        section=SECTION,
        length_in=Fraction(100),
        price=Decimal("10.00"),
    )
    saw = replace(STANDS.shop.saw, kerf_in=Fraction(0), end_trim_in=Fraction(0))
    return replace(
        STANDS,
        items=(replace(STANDS.items[0], build=build, quantity=quantity),),
        shop=replace(STANDS.shop, saw=saw),
        prices=replace(STANDS.prices, lumber=(row,)),
    )


def bought(order: Order) -> BoardPurchase:
    findings = Findings()
    sheet = buy(order, take_off(order, findings), findings)
    assert findings.faults == []
    return sheet.boards[0]


def test_parts_of_one_unit_with_one_word_are_a_set() -> None:
    order = order_of(3, part("Slat", 20, 4, "seat"), part("Edge slat", 20, 1, "Seat"), part("Rail", 50, 2, ""))
    (need,) = take_off(order, Findings()).order.lumber
    (found,) = matching_sets(need)
    assert (found.build, found.word, found.counts, found.units) == ("Bench", "seat", (4, 1, 0), 3)


def test_a_part_alone_makes_no_set() -> None:
    order = order_of(3, part("Top", 20, 1, "top"), part("Rail", 50, 2, ""))
    (need,) = take_off(order, Findings()).order.lumber
    assert matching_sets(need) == ()


def test_seats_are_cut_from_one_board_where_it_costs_no_more() -> None:
    # A seat of two 30 and one 40 fills a board; two rails of 50 fill another. Two benches take four boards however the
    # pieces are mixed, and both seats can come from one board each.
    order = order_of(2, part("Slat", 30, 2, "seat"), part("Wide slat", 40, 1, "seat"), part("Rail", 50, 2, ""))
    purchase = bought(order)
    assert purchase.amount == Decimal("40.00")
    assert [one.units for one in purchase.matched] == [2]
    assert 'Matching parts "seat": in 2 of 2 units of Bench all from one board.' in plan_text(order, purchase)


def test_a_set_longer_than_a_board_is_told_as_not_matched() -> None:
    purchase = bought(order_of(1, part("Slat", 60, 2, "seat")))
    assert [(one.units, one.matching.units) for one in purchase.matched] == [(0, 1)]
