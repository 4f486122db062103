from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Origin
from estimator.keeping.check import price_doubts
from estimator.reading.order import Order, read_order
from estimator.reading.sold import ConsumablePrice, FinishPrice, HardwarePrice, PriceRow
from estimator.reading.trade_units import parse_container

TODAY = date(2026, 3, 2)


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=TODAY)


def nut(line: int, pack: int, price: str, supplier: str = "Bramble") -> HardwarePrice:
    return HardwarePrice(
        origin=Origin(file="hardware.csv", line=line),
        supplier=supplier,
        price=Decimal(price),
        day=TODAY,
        kind="nut",
        size="5/16-18",
        length_in=None,
        material="steel",
        pack=pack,
    )


def screw(line: int, inches: int, pack: int, price: str) -> HardwarePrice:
    return replace(nut(line, pack, price), kind="wood screw", size="#8", length_in=Fraction(inches))


def can(line: int, container: str, price: str) -> FinishPrice:
    return FinishPrice(
        origin=Origin(file="finishes.csv", line=line),
        supplier="Bramble",
        price=Decimal(price),
        day=TODAY,
        product="oil",
        container=container,
        content_gal=parse_container(container),
    )


def discs(line: int, pack: str, price: str) -> ConsumablePrice:
    return ConsumablePrice(
        origin=Origin(file="consumables.csv", line=line),
        supplier="Bramble",
        price=Decimal(price),
        day=TODAY,
        item="disc",
        pack=Decimal(pack),
        unit="discs",
    )


def doubts(rows: Sequence[PriceRow]) -> list[tuple[int | None, str]]:
    tables = replace(
        stands().prices,
        lumber=(),
        hardware=tuple(row for row in rows if isinstance(row, HardwarePrice)),
        finishes=tuple(row for row in rows if isinstance(row, FinishPrice)),
        consumables=tuple(row for row in rows if isinstance(row, ConsumablePrice)),
        labour_rates=(),
    )
    groups = price_doubts(tables, stands().shop, TODAY)
    return [(notice.origin.line, notice.message) for group in groups for notice in group.notices]


def test_larger_packs_that_are_cheaper_a_piece_are_no_doubt() -> None:
    # 0.30, 0.24, 0.20 a piece
    assert doubts([nut(2, 1, "0.30"), nut(3, 50, "12.00"), nut(4, 500, "100.00")]) == []


def test_prices_rounded_to_the_coin_are_no_doubt() -> None:
    # A third of a coin each way: 0.333 a piece is written 0.33 for one and 1.00 for three.
    assert doubts([nut(2, 1, "0.33"), nut(3, 3, "1.00"), nut(4, 6, "2.00")]) == []


def test_a_larger_pack_that_costs_less_is_told() -> None:
    rows = [nut(2, 10, "3.00"), nut(3, 25, "2.90"), nut(4, 100, "22.00")]
    assert doubts(rows) == [(3, "nut 5/16-18, steel, pack of 25 costs $2.90, less than the smaller one, line 2: $3.00")]


def test_a_larger_pack_that_is_dearer_a_piece_is_told() -> None:
    rows = [nut(2, 10, "3.00"), nut(3, 25, "9.00"), nut(4, 100, "22.00")]
    said = "nut 5/16-18, steel, pack of 25 comes to $0.36 a piece, more than the smaller one, line 2: $0.30 a piece"
    assert doubts(rows) == [(3, said)]


def test_packs_of_two_suppliers_need_not_agree() -> None:
    assert doubts([nut(2, 10, "3.00"), nut(3, 25, "9.00", supplier="Holm")]) == []


def test_a_price_from_so_many_packs_on_is_no_pack_of_its_own() -> None:
    many = replace(nut(4, 10, "2.00"), from_quantity=10)
    assert doubts([nut(2, 10, "3.00"), many, nut(3, 25, "6.25")]) == []


def test_a_pack_with_the_price_of_one_piece_is_told() -> None:
    rows = [nut(2, 1, "0.25"), nut(3, 50, "0.24"), nut(4, 500, "100.00")]
    # The middle of 0.25, 0.0048 and 0.20 is 0.20.
    said = (
        "nut 5/16-18, steel, pack of 50 comes to $0.005 a piece, and the middle price of it to $0.20 a piece; as the "
        "price of one piece it would be $0.24 a piece, near the others"
    )
    assert doubts(rows) == [(3, said.replace("0.005", "0.0048"))]


def test_one_piece_with_the_price_of_a_pack_is_told() -> None:
    (told,) = doubts([nut(2, 1, "11.00"), nut(3, 50, "12.00"), nut(4, 500, "100.00")])
    assert told[0] == 2
    assert told[1].endswith("; as the price of a pack of 50 it would be $0.22 a piece, near the others")


def test_of_two_prices_that_are_far_apart_the_one_that_a_slip_explains_is_told() -> None:
    (told,) = doubts([nut(2, 1, "0.30"), nut(3, 50, "0.28")])
    assert told[0] == 3
    assert "the only other price of it to $0.30 a piece; as the price of one piece it would be $0.28" in told[1]


def test_a_screw_that_falls_out_of_its_series_is_told_with_the_next_lengths() -> None:
    rows = [screw(2, 1, 100, "8.00"), screw(3, 2, 100, "120.00"), screw(4, 3, 100, "16.00"), screw(5, 4, 100, "20.00")]
    said = (
        "wood screw #8 x 2 in, steel, pack of 100 comes to $1.20 a piece, and the next lengths to $0.08 a piece (line "
        "2) and $0.16 a piece (line 4); written 12.00 it would be $0.12 a piece, near the others"
    )
    assert doubts(rows) == [(3, said)]


@pytest.mark.parametrize("prices", [("8", "8", "8", "8"), ("4", "8", "16", "32"), ("3", "6", "9", "12")])
def test_screws_that_cost_alike_or_in_step_with_their_length_are_no_doubt(prices: tuple[str, ...]) -> None:
    rows = [
        screw(2 + n, length, 100, price) for n, (length, price) in enumerate(zip((1, 2, 4, 8), prices, strict=True))
    ]
    assert doubts(rows) == []


def test_the_first_and_the_last_of_a_series_are_told_too() -> None:
    rows = [screw(2, 1, 100, "80.00"), screw(3, 2, 100, "12.00"), screw(4, 3, 100, "16.00"), screw(5, 4, 100, "2.00")]
    assert [line for line, _ in doubts(rows)] == [5, 2] or [line for line, _ in doubts(rows)] == [2, 5]


def test_cans_are_compared_by_the_gallon() -> None:
    # 24 a quart are 96 a gallon; 780 a gallon.
    (told,) = doubts([can(2, "1 qt", "24.00"), can(3, "1 gal", "780.00"), can(4, "5 gal", "345.00")])
    assert told[0] == 3
    assert "oil, can of 1 gal comes to $780.00 a gal, and the middle price of it to $96.00 a gal" in told[1]
    assert "; written 78.00 it would be near the others" in told[1]


def test_a_figure_is_not_said_twice_in_one_breath() -> None:
    (told,) = doubts([nut(2, 1, "1.41"), nut(3, 50, "7.00"), nut(4, 500, "65.00")])
    assert told[1].endswith("to $0.14 a piece; written 0.141 it would be near the others")


def test_a_set_of_base_and_hardener_is_no_can_of_the_product() -> None:
    of_two = replace(can(4, "1 gal", "600.00"), container="1 gal + 1 qt", hardener_gal=Fraction(1, 4))
    assert doubts([can(2, "1 qt", "24.00"), can(3, "1 gal", "78.00"), of_two]) == []


def test_consumables_are_compared_by_their_unit() -> None:
    (told,) = doubts([discs(2, "10", "7.80"), discs(3, "50", "29.50"), discs(4, "100", "5.50")])
    assert told[0] == 4
    assert told[1].startswith(
        "disc, pack of 100 discs comes to $0.055 a disc, and the middle price of it to $0.59 a disc"
    )
    assert told[1].endswith(
        "; as the price of 10 discs it would be $0.55 a disc, near the others (or written 55.00, $0.55 a disc)"
    )
