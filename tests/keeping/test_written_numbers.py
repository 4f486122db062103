from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.keeping.written_numbers import PRICE_PLACES, parse_price, point_text, price_text
from estimator.money import Currency

USD, EUR, CAD, JPY = (Currency(code=code) for code in ("USD", "EUR", "CAD", "JPY"))


@pytest.mark.parametrize(
    ("text", "decimal_comma", "shown"),
    [
        ("12,50", True, "12.50"),
        ("1.250,00", True, "1250.00"),
        ("1.250.000", True, "1250000"),
        ("1 250,50", True, "1250.50"),
        ("1\u202f250,50", True, "1250.50"),
        ("12.50", True, "12.50"),
        ("2,4 m", True, "2.4 m"),
        ("27,5 x 145 mm", True, "27.5 x 145 mm"),
        ("1,250.00", False, "1250.00"),
        ("12,50", False, "12.50"),
        ("2 400", False, "2400"),
        ("5/4x6", False, "5/4x6"),
        ("22 1/2", False, "22 1/2"),
        ("1.250", False, "1.250"),
    ],
)
def test_numbers_get_a_point_before_their_decimals(text: str, *, decimal_comma: bool, shown: str) -> None:
    assert point_text(text, decimal_comma=decimal_comma, declared=False) == shown


@pytest.mark.parametrize(("text", "decimal_comma"), [("1,250", False), ("1.250", True), ("€ 1.250", True)])
def test_a_number_that_could_be_two_is_refused_unless_the_map_declares_the_mark(
    text: str, *, decimal_comma: bool
) -> None:
    with pytest.raises(ValueError, match=r'could mean 1250 or 1[.,]250; write decimal = "," or "." into the map'):
        point_text(text, decimal_comma=decimal_comma, declared=False)
    assert "1250" in point_text(text, decimal_comma=decimal_comma, declared=True)
    assert "1.250" in point_text(text, decimal_comma=not decimal_comma, declared=True)


@given(st.decimals(min_value=0, max_value=10**9, places=2), st.booleans())
def test_a_declared_number_keeps_its_value_however_it_is_grouped(value: Decimal, decimal_comma: bool) -> None:  # noqa: FBT001 - drawn
    written = f"{value:,.2f}"
    if decimal_comma:
        written = written.translate(str.maketrans(",.", ".,"))
    assert Decimal(point_text(written, decimal_comma=decimal_comma, declared=True)) == value


@pytest.mark.parametrize(
    ("text", "currency", "price"),
    [
        ("12.40", USD, "12.40"),
        ("$12.40", USD, "12.40"),
        ("US$ 12.40", USD, "12.40"),
        ("12.40 USD", USD, "12.40"),
        ("12.40 €", EUR, "12.40"),
        ("EUR 12.40", EUR, "12.40"),
        ("12,-", EUR, "12"),
        ("12,–", EUR, "12"),
        ("C$12.40", CAD, "12.40"),
        ("$12.40", CAD, "12.40"),
        ("1250 JPY", JPY, "1250"),
    ],
)
def test_a_price_is_read_without_the_signs_around_it(text: str, currency: Currency, price: str) -> None:
    assert parse_price(text, currency) == Fraction(price)


@pytest.mark.parametrize(("text", "currency"), [("€12.40", USD), ("$12.40", EUR), ("12.40 GBP", USD), ("CHF 12", EUR)])
def test_another_currency_is_refused(text: str, currency: Currency) -> None:
    with pytest.raises(ValueError, match=f"is in another currency than {currency.code}; write"):
        parse_price(text, currency)


@pytest.mark.parametrize("text", ["", "call", "on request", "0", "-4", "12.40/ea", "12 - 14", "12.4.5"])
def test_what_is_no_price_is_refused_with_a_way_to_pass_over_it(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a price; .* or write a word of its row under skip"):
        parse_price(text, USD)


@pytest.mark.parametrize(
    ("price", "currency", "text", "exact"),
    [
        (Fraction("12.4"), USD, "12.40", True),
        (Fraction("0.035"), USD, "0.035", True),
        (Fraction(12), JPY, "12", True),
        (Fraction(1, 3), USD, "0.333333", False),
        (Fraction("0.0000005"), USD, "0.000001", False),  # half up
        (Fraction("0.00000049"), USD, "0.00", False),
        # 12.50 with 19 % tax: 12.50 / 1.19 = 10.5042016...
        (Fraction("12.50") / Fraction("1.19"), EUR, "10.504202", False),
    ],
)
def test_a_price_is_written_exactly_or_half_up_to_six_places(
    price: Fraction, currency: Currency, text: str, *, exact: bool
) -> None:
    assert price_text(price, currency) == (text, exact)


@given(st.fractions(min_value=0, max_value=10**6))
def test_a_written_price_is_at_most_half_a_step_off(price: Fraction) -> None:
    text, exact = price_text(price, USD)
    assert exact == (Fraction(text) == price)
    assert abs(Fraction(text) - price) <= Fraction(1, 2 * 10**PRICE_PLACES)
    assert "E" not in text
