from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.buying.board_purchase import Spares
from estimator.buying.purchase import BuyLine, unit_price
from estimator.errors import Findings, Origin
from estimator.estimate import estimate
from estimator.money import Currency
from estimator.reading.order import Order, read_order
from estimator.reading.suppliers import Supplier
from estimator.takeoff.lumber import PieceNeed
from estimator.takeoff.take_off import take_off
from estimator.wording import left_over_rows, listed_price, plan_text, price_text

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


def euro_yard(**terms: str) -> Supplier:
    return Supplier(
        origin=Origin(file="suppliers.toml", line=1),
        name="Alder Yard",
        visit_cost=Decimal(0),
        minimum_order=Decimal(0),
        currency=Currency(code=terms.get("currency", "USD")),
        rate=Decimal(terms.get("rate", "1")),
        rate_day=None,
        tax_included_percent=Decimal(terms.get("tax", "0")),
        discount_percent=Decimal(terms.get("discount", "0")),
    )


@pytest.mark.parametrize(
    ("terms", "price", "paid", "listed"),
    [
        ({}, "12.00", "$12.00", ""),
        ({"currency": "EUR", "rate": "1.08"}, "12.00", "$12.96", "12.00 EUR"),
        ({"currency": "EUR", "rate": "1.0803"}, "1234.50", "$1,333.63", "1,234.50 EUR"),
        ({"tax": "19"}, "69.00", "$57.98", "$69.00 with tax"),
        ({"discount": "5"}, "8.50", "$8.08", "$8.50"),
        ({"tax": "20"}, "0.07", "$0.0583", "$0.07 with tax"),
        ({"tax": "20", "currency": "EUR", "rate": "1.08"}, "0.035", "$0.0315", "0.035 EUR with tax"),
        ({}, "57.983193", "$57.98", ""),
        ({}, "1.866667", "$1.87", ""),
        ({}, "0.058333", "$0.0583", ""),
        ({}, "1.625", "$1.625", ""),
    ],
)
def test_a_price_is_shown_to_the_cent_and_as_the_suppliers_list_has_it(
    terms: dict[str, str], price: str, paid: str, listed: str
) -> None:
    # 12 x 1.08 = 12.96; 1234.5 x 1.0803 = 1333.63; 69 / 1.19 = 57.983; 8.5 x 0.95 = 8.075; 0.07 / 1.2 = 0.05833.
    row = replace(tearoom().prices.hardware[0], price=Decimal(price), seller=euro_yard(**terms) if terms else None)
    shown = unit_price(row, Currency(code="USD"))
    line = BuyLine(item="screw", quantity=Decimal(1), unit="", unit_price=shown, amount=shown, row=row)
    assert (price_text(tearoom(), shown), listed_price(tearoom(), line)) == (paid, listed)
    assert Fraction(line.exact_price) == row.net_price


def test_a_board_priced_by_its_measure_says_so_beside_the_price_of_the_list() -> None:
    euros = euro_yard(currency="EUR", rate="1.1")
    by_foot = next(row for row in tearoom().prices.lumber if row.per == "ft" and row.length_in)
    row = replace(by_foot, price=Decimal("1.60"), seller=euros)
    line = BuyLine(item="board", quantity=Decimal(1), unit="board", unit_price=Decimal(14), amount=Decimal(14), row=row)
    assert listed_price(tearoom(), line) == "1.60 EUR per ft"


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
