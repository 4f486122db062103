from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.money import Currency, rounded, up_to_step

cents = st.integers(0, 10**9).map(lambda count: Decimal(count).scaleb(-2))


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        ("0.7449", "0.74"),
        ("0.7450", "0.75"),
        ("0.7451", "0.75"),
        ("0.125", "0.13"),
        ("0.135", "0.14"),
        ("2.675", "2.68"),
    ],
)
def test_tax_is_rounded_half_up_to_the_cent(raw: str, expected: str) -> None:
    # Streamlined Sales and Use Tax Agreement, section 324 (as in R.I. Gen. Laws 44-18.1-25 and N.D. Cent. Code
    # 57-39.4-25): up where the third decimal is greater than four, otherwise down. Worked out by hand on that rule.
    assert rounded(Decimal(raw), 2) == Decimal(expected)
    assert rounded(Fraction(raw), 2) == Decimal(expected)


def test_tax_by_line_and_by_invoice_differ_as_the_rule_allows() -> None:
    # By hand, section 324: 0.56 at 6.25 % is 0.035, up to 0.04, three times 0.12; 1.68 at 6.25 % is 0.105, up to 0.11.
    # (Rounded to the third decimal first or not, the cents are the same here.)
    rate = Decimal("0.0625")
    assert 3 * rounded(Decimal("0.56") * rate, 2) == Decimal("0.12")
    assert rounded(3 * Decimal("0.56") * rate, 2) == Decimal("0.11")


@pytest.mark.parametrize(
    ("code", "digits"),
    [
        *((code, 2) for code in ("USD", "EUR", "GBP", "CAD", "AUD", "HUF", "CHF", "MXN", "INR")),
        *((code, 0) for code in ("JPY", "KRW", "CLP", "VND", "ISK")),
        *((code, 3) for code in ("KWD", "BHD", "OMR", "TND", "JOD")),
    ],
)
def test_a_currency_has_the_decimals_of_its_smallest_coin(code: str, digits: int) -> None:
    # ISO 4217 minor units as shipped in CLDR (Babel 2.18.0).
    currency = Currency(code=code)
    assert currency.digits == digits
    assert currency.cent == Decimal(10) ** -digits
    assert currency.rounded(Decimal(2) / 3) == rounded(Fraction(2, 3), digits)


def test_amounts_are_written_for_people() -> None:
    assert Currency(code="USD").text(Decimal("1234.5")) == "$1,234.50"
    assert Currency(code="EUR").text(Decimal(-12)) == "-€12.00"
    assert Currency(code="JPY").text(Decimal("1234.5")) == "JPY 1,235"
    assert Currency(code="SEK").text(Decimal(3)) == "SEK 3.00"


@given(st.fractions(min_value=-(10**6), max_value=10**6), st.integers(0, 4))
def test_rounding_is_to_the_nearest_coin_and_never_further(amount: Fraction, digits: int) -> None:
    coin = Fraction(1, 10**digits)
    off = Fraction(rounded(amount, digits)) - amount
    assert abs(off) <= coin / 2
    if abs(off) == coin / 2:
        assert (off > 0) == (amount > 0)  # a half goes up, away from zero


@given(st.decimals(-(10**6), 10**6, places=5), st.integers(0, 4))
def test_decimals_and_fractions_round_alike(amount: Decimal, digits: int) -> None:
    assert rounded(amount, digits) == rounded(Fraction(amount), digits)


@pytest.mark.parametrize(
    ("amount", "step", "expected"),
    [
        ("412.30", "5", "415"),
        ("415", "5", "415"),
        ("415.01", "5", "420"),
        ("0.01", "100", "100"),
        ("12.34", "0.05", "12.35"),
    ],
)
def test_a_price_is_rounded_up_to_a_whole_number_of_steps(amount: str, step: str, expected: str) -> None:
    assert up_to_step(Decimal(amount), Decimal(step)) == Decimal(expected)


@given(cents, st.integers(1, 100_000).map(lambda count: Decimal(count).scaleb(-2)))
def test_rounding_up_never_asks_less_nor_a_whole_step_more(amount: Decimal, step: Decimal) -> None:
    asked = up_to_step(amount, step)
    assert amount <= asked < amount + step
    assert Fraction(asked) % Fraction(step) == 0


@pytest.mark.parametrize(
    ("code", "price", "text"),
    [
        ("USD", "2820", "$2,820.00"),
        ("USD", "0.035", "$0.035"),
        ("EUR", "1234.5", "€1,234.50"),
        ("JPY", "1E+4", "JPY 10,000"),
    ],
)
def test_a_price_is_written_like_an_amount_with_its_parts_of_a_coin(code: str, price: str, text: str) -> None:
    assert Currency(code=code).price_text(Decimal(price)) == text
