from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from estimator.errors import Findings, Origin
from estimator.keeping.check import price_doubts
from estimator.keeping.checking.doubts import MOST_SHOWN, amount
from estimator.money import Currency
from estimator.reading.order import Order, read_order
from estimator.reading.prices import PriceTables
from estimator.reading.sold import LumberPrice
from estimator.reading.suppliers import Supplier, read_suppliers
from estimator.reading.trade_units import parse_per
from estimator.standards.sections import parse_section

TODAY = date(2026, 3, 2)


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=TODAY)


def board(feet: int, price: str, per: str = "each", day: date = TODAY, supplier: str = "Fernhill") -> LumberPrice:
    """A 2x4: 8 ft of it hold 5 1/3 board feet."""
    row = replace(stands().prices.lumber[0], section=parse_section("2x4"), supplier=supplier)
    return replace(row, length_in=Fraction(feet * 12), price=Decimal(price), per=per, pricing=parse_per(per), day=day)


def seller(currency: str, rate: str, day: date) -> Supplier:
    """Return Holm, whose prices are in another currency."""
    return Supplier(
        origin=Origin(file="suppliers.toml", line=7),
        name="Holm",
        visit_cost=Decimal(0),
        minimum_order=Decimal(0),
        currency=Currency(code=currency),
        rate=Decimal(rate),
        rate_day=day,
        tax_included_percent=Decimal(0),
        discount_percent=Decimal(0),
    )


def tables(rows: Sequence[LumberPrice]) -> PriceTables:
    return replace(
        stands().prices, lumber=tuple(rows), hardware=(), finishes=(), consumables=(), labour_rates=(), suppliers=()
    )


def doubts(rows: Sequence[LumberPrice]) -> list[str]:
    groups = price_doubts(tables(rows), stands().shop, TODAY)
    return [notice.message for group in groups for notice in group.notices]


def test_prices_of_one_wood_that_agree_are_no_doubt() -> None:
    # 16.00 for 8 ft is 3.00 a board foot; 2.00 a foot and 3000 a thousand board feet are the same.
    assert doubts([board(8, "16.00"), board(10, "2.00", "ft"), board(12, "3000", "MBF")]) == []


@pytest.mark.parametrize(("price", "said"), [("160.00", "30.00"), ("1.60", "0.30"), ("0.16", "0.03")])
def test_a_slip_of_the_decimal_point_is_told(price: str, said: str) -> None:
    (told,) = doubts([board(8, price), board(10, "20.00"), board(12, "24.00")])
    assert f"2x4, 8 ft costs ${said} a board foot" in told
    assert "is $3.00; written 16.00 it would be $3.00 a board foot, near the others" in told


@pytest.mark.parametrize(
    ("price", "per", "reading"),
    [
        # 8 ft of a 2x4 are 5 1/3 board feet, 0.444 cubic feet and 0.0126 cubic metres at 3.00 a board foot.
        ("2.00", "each", "as a price per ft"),
        ("16.00", "ft", "as a price each"),
        ("6.56", "each", "as a price per m"),  # a metre is $3.28 ft
        ("3.00", "each", "as a price per bf"),
        ("3000", "bf", "as a price per MBF"),
        ("36.00", "bf", "as a price per ft3"),  # 12 board feet
        ("1271", "bf", "as a price per m3"),  # 423.8 board feet
    ],
)
def test_a_price_per_another_unit_is_told(price: str, per: str, reading: str) -> None:
    *_, told = doubts([board(10, "20.00"), board(12, "24.00"), board(14, "28.00"), board(8, price, per)])
    assert f"; {reading} it would be $3.00 a board foot, near the others" in told


def test_a_price_that_nothing_explains_is_told_without_a_reading() -> None:
    (told,) = doubts([board(8, "80.00"), board(10, "20.00"), board(12, "24.00")])
    assert told.endswith("costs $15.00 a board foot, and the middle price of western redcedar Select is $3.00")


def test_random_lengths_are_no_board_and_are_read_by_volume_alone() -> None:
    by_volume = replace(board(8, "3.00", "MBF"), length_in=None)
    (told,) = doubts([by_volume, board(10, "20.00"), board(12, "24.00")])
    assert "2x4, random lengths costs $0.003 a board foot" in told
    assert told.endswith("; as a price per bf it would be $3.00 a board foot, near the others")


def test_a_shop_that_measures_in_millimetres_reads_prices_a_cubic_metre() -> None:
    # 3.00 a board foot are 1,271.33 a cubic metre of 423.776 board feet (tests/reference/unit_conversions.csv).
    shop = replace(stands().shop, unit="mm")
    rows = [board(8, "160.00"), board(10, "20.00"), board(12, "24.00")]
    told = price_doubts(tables(rows), shop, TODAY)[0].notices[0].message
    assert "2438.4 mm costs $12,713.28 a m3" in told or "costs $12,713.28 a m3" in told
    assert "is $1,271.33;" in told


def test_a_supplier_with_prices_of_his_own_is_measured_by_them() -> None:
    dear = [board(feet, str(feet * 3), supplier="Holm") for feet in (8, 10, 12)]
    cheap = [board(feet, str(feet * 2), supplier="Fernhill") for feet in (8, 10, 12, 14)]
    (told,) = doubts([*dear, *cheap, board(14, "4.20", supplier="Holm")])
    # 4.20 for 9 1/3 board feet is 0.45, a tenth of Holm's 4.50; Fernhill's is 3.00.
    assert "14 ft costs $0.45 a board foot" in told
    assert "is $4.50 ($3.00 at other suppliers); written 42.00 it would be $4.50 a board foot" in told


def test_a_supplier_whose_prices_are_all_per_the_wrong_unit_is_told_once() -> None:
    right = [board(feet, str(feet * 2), supplier="Fernhill") for feet in (8, 10, 12)]
    wrong = [board(feet, "2.00", "each", supplier="Holm") for feet in (8, 10, 12, 14)]
    (told,) = doubts([*right, *wrong])
    assert told.startswith("the 4 prices of western redcedar Select of Holm come to")
    assert "; as a price per ft it would be $3.00 a board foot, near the others" in told


def test_the_terms_of_a_supplier_who_is_far_off_are_named_first() -> None:
    terms = replace(
        seller("SEK", "108", TODAY), discount_percent=Decimal(15), lines=(("rate", 9), ("discount_percent", 11))
    )
    right = [board(feet, str(feet * 2)) for feet in (8, 10, 12)]
    wrong = [replace(board(feet, str(feet * 2), supplier="Holm"), seller=terms) for feet in (8, 10, 12, 14)]
    (told,) = doubts([*right, *wrong])
    said = "; look first at rate = 108 in suppliers.toml:9 and discount_percent = 15 in suppliers.toml:11"
    assert told.partition("to $3.00")[2] == said


def test_a_slip_is_left_out_where_the_terms_are_to_be_looked_at_first() -> None:
    # The price of a foot, 2.00, stands as that of a board: a slip that is told where the supplier has no terms.
    right = [board(feet, str(feet * 2)) for feet in (8, 10, 12)]
    wrong = [board(feet, "2.00", "each", supplier="Holm") for feet in (8, 10, 12, 14)]
    (told,) = doubts([*right, *wrong])
    assert "; as a price per ft it would be $3.00 a board foot, near the others" in told
    terms = replace(seller("SEK", "1", TODAY), lines=(("rate", 9),))
    (told,) = doubts([*right, *(replace(row, seller=terms) for row in wrong)])
    assert told.endswith("to $3.00; look first at rate = 1 in suppliers.toml:9")


def test_a_term_of_a_supplier_has_a_line_of_its_own(tmp_path: Path) -> None:
    terms = '[[suppliers]]\nname = "Ash"\n\n[[suppliers]]\nname = "Holm"\n# from their list\ndiscount_percent = 15\n'
    (tmp_path / "suppliers.toml").write_text(terms, encoding="utf-8")
    holm = read_suppliers(tmp_path, Currency(code="USD"), Findings()).named("Holm")
    assert holm is not None
    assert (holm.at("discount_percent").line, holm.at("rate").line) == (7, 4)


def test_of_only_two_prices_the_one_that_a_slip_explains_is_told() -> None:
    rows = [board(8, "160.00"), replace(board(8, "16.00", supplier="Holm"), origin=Origin(file="lumber.csv", line=9))]
    (told,) = doubts(rows)
    assert (
        "costs $30.00 a board foot, and the only other price of western redcedar Select, lumber.csv:9, is $3.00" in told
    )


def test_prices_are_compared_in_the_shops_money() -> None:
    # 16.00 with a rate of 0.1 is 1.60 of the shop's: a tenth of the others.
    holm = seller("SEK", "0.1", TODAY)
    krona = [replace(board(8, "160.00", supplier="Holm"), seller=holm), board(10, "20.00"), board(12, "24.00")]
    assert doubts(krona) == []
    (told,) = doubts([replace(board(8, "16.00", supplier="Holm"), seller=holm), *krona[1:], board(14, "28")])
    assert "written 160.00 it would be $3.00" in told


@pytest.mark.parametrize(
    ("value", "text"),
    [(1234.5, "1,234.50"), (0.3, "0.30"), (0.495, "0.495"), (0.0048, "0.0048"), (0.00000123, "0.00000123")],
)
def test_small_amounts_are_shown_in_three_figures(value: float, text: str) -> None:
    assert amount(value) == text


def test_the_worst_is_told_first_and_only_so_many() -> None:
    rows = [board(2 * n, str(4 * n)) for n in range(5, 75)]
    spoilt = [board(2 * n, str(4 * n * (n + 3))) for n in range(5, 5 + MOST_SHOWN + 5)]
    group = price_doubts(tables([*rows, *spoilt]), stands().shop, TODAY)[0]
    assert group.count == MOST_SHOWN + 5
    assert len(group.notices) == MOST_SHOWN
    assert "58 ft costs" in group.notices[0].message


def test_a_length_missing_in_a_series_is_told() -> None:
    (told,) = doubts([board(8, "16"), board(10, "20"), board(14, "28"), board(16, "32")])
    assert told.endswith("is listed in even steps, but not in 12 ft")


def series(*prices: str, **changes: Any) -> list[LumberPrice]:  # noqa: ANN401 - any field of a row
    """Return boards of 8, 10, 12 ft and so on, from line 2 on."""
    return [
        replace(board(8 + 2 * place, price), origin=Origin(file="lumber.csv", line=2 + place), **changes)
        for place, price in enumerate(prices)
    ]


def test_a_shorter_board_that_costs_more_than_a_longer_one_is_told_with_both_lines() -> None:
    group = price_doubts(tables(series("16.00", "24.50", "24.00", "28.00")), stands().shop, TODAY)[1]
    (told,) = group.notices
    assert told.origin.line == 3
    said = "western redcedar Select 2x4, 10 ft costs $24.50, more than the longer one, line 4: 12 ft for $24.00"
    assert told.message == said


def test_boards_that_cost_alike_or_are_priced_from_so_many_on_are_no_doubt() -> None:
    many = [replace(row, from_quantity=10) for row in series("15.00", "19.00", "23.00")]
    assert doubts([*series("16.00", "24.00", "24.00"), *many]) == []
    assert doubts(series("2.10", "2.05", "2.00", per="ft", pricing=parse_per("ft"))) == []


def test_a_board_that_is_far_off_is_told_once() -> None:
    (told,) = doubts(series("16.00", "200.00", "24.00", "28.00"))
    assert "costs $30.00 a board foot" in told


@pytest.mark.parametrize("lengths", [(8, 10, 13), (8, 10, 30), (8, 16)])
def test_lengths_in_uneven_steps_are_no_series(lengths: tuple[int, ...]) -> None:
    assert doubts([board(feet, str(feet * 2)) for feet in lengths]) == []


def test_old_prices_are_told_once_a_file_at_the_oldest() -> None:
    limit = stands().shop.stale_after_days
    old = [board(8, "16", day=date(2020, 1, 1)), board(10, "20", day=date(2019, 1, 1)), board(12, "24")]
    assert doubts(old) == [f"2 prices are older than {limit} days; the oldest is this one, of 2019-01-01"]


def test_a_price_of_a_day_to_come_is_told() -> None:
    later = [board(8, "16", day=date(2062, 1, 3)), board(10, "20"), board(12, "24")]
    assert doubts(later) == ["1 price is of a day to come; the last is this one, of 2062-01-03"]


def test_labour_rates_are_prices_too() -> None:
    old = replace(stands().prices, lumber=(), hardware=(), finishes=(), consumables=())
    old = replace(old, labour_rates=tuple(replace(rate, day=date(2019, 1, 1)) for rate in old.labour_rates))
    (told,) = [notice for group in price_doubts(old, stands().shop, TODAY) for notice in group.notices]
    assert told.origin.file.endswith("labour_rates.csv")


@pytest.mark.parametrize(
    ("day", "said"),
    [(date(2025, 3, 2), "is of 2025-03-02, 365 days ago; your limit is 180"), (date(2027, 1, 1), "a day to come")],
)
def test_a_suppliers_rate_of_exchange_has_a_day_too(day: date, said: str) -> None:
    holm = replace(seller("SEK", "0.1", day), lines=(("rate_date", 12),))
    groups = price_doubts(replace(tables([]), suppliers=(holm,)), stands().shop, TODAY)
    (told,) = [notice for group in groups for notice in group.notices]
    assert str(told.origin) == "suppliers.toml:12"  # where the day is written, not where the supplier begins
    assert said in told.message
