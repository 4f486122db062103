from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.reading.trade_units import factor, parse_container, parse_per, parse_spread


@pytest.mark.parametrize(
    ("text", "expected_gal"),
    [
        ("1 gal", Fraction(1)),
        ("1 Gallon", Fraction(1)),
        ("1 qt", Fraction(1, 4)),
        ("2 pints", Fraction(1, 4)),
        ("32 fl oz", Fraction(1, 4)),
        ("5gal", Fraction(5)),
        ("3.785411784 L", Fraction(1)),  # the US gallon in litres, NIST SP 811 as quoted in the units' table
        ("3785.411784 ml", Fraction(1)),
        ("0,946352946 l", Fraction(1, 4)),
    ],
)
def test_containers_hold_exact_gallons(text: str, expected_gal: Fraction) -> None:
    assert parse_container(text, decimal_comma="," in text) == expected_gal


@pytest.mark.parametrize(
    "text", ["1", "one gallon", "0 gal", "-1 gal", "1 lb", "gal", "9**9**9 gal", "1 gal gal", "1,000 ml"]
)
def test_what_is_no_container_is_refused_with_the_ways_to_write_one(text: str) -> None:
    with pytest.raises(ValueError, match="; write "):
        parse_container(text)


def test_a_spreading_rate_is_a_range_or_one_number() -> None:
    one = parse_spread("250 ft2/gal")
    assert one.low_ft2_per_gal == one.high_ft2_per_gal == 250
    for text in ("200 - 400 ft2/gal", "200–400 sq ft/gal", "200 to 400 ft²/gal", "50-100 ft2/qt"):
        spread = parse_spread(text)
        assert spread.low_ft2_per_gal == 200
        assert spread.high_ft2_per_gal == 400


def test_a_metric_rate_is_the_same_as_its_us_rate() -> None:
    # 400 ft2/gal x 0.09290304 m2/ft2 / 3.785411784 L/gal = 9.817 m2/L
    spread = parse_spread("9.817 m2/L")
    assert abs(spread.low_ft2_per_gal - 400) < Fraction("0.02")
    assert spread.low_ft2_per_gal == Fraction("9.817") * Fraction("3.785411784") / Fraction("0.09290304")


def test_a_range_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(ValueError, match="has the high rate first"):
        parse_spread("400 - 200 ft2/gal")


@pytest.mark.parametrize(
    "text", ["250", "250 ft/gal", "0 ft2/gal", "200 - ft2/gal", "ft2/gal", "200 - 300 - 400 ft2/gal"]
)
def test_what_is_no_rate_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a spreading rate; write 250 ft2/gal"):
        parse_spread(text)


@pytest.mark.parametrize(
    ("text", "basis", "units"),
    [
        ("each", "each", Fraction(1)),
        ("per ft", "foot", Fraction(1)),
        ("m", "foot", 1 / Fraction("0.3048")),
        ("BF", "board foot", Fraction(1)),
        ("bd ft", "board foot", Fraction(1)),
        ("MBF", "board foot", Fraction(1000)),
        ("m3", "cubic foot", 1 / Fraction("0.028316846592")),
        ("m³", "cubic foot", 1 / Fraction("0.028316846592")),
        ("ft3", "cubic foot", Fraction(1)),
    ],
)
def test_a_lumber_price_is_per_so_many_of_its_measure(text: str, basis: str, units: Fraction) -> None:
    # foot = 0.3048 m and cubic foot = 0.028316846592 m3, GNU Units 3.22 database
    pricing = parse_per(text)
    assert (pricing.basis, pricing.units) == (basis, units)


@pytest.mark.parametrize("text", ["", "yard", "kg", "9**9"])
def test_what_lumber_is_not_priced_per_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write each, ft, m, bf, MBF or m3"):
        parse_per(text)


@given(st.sampled_from(["gallon", "quart", "pint_us", "fluid_ounce", "liter"]), st.sampled_from(["gallon", "liter"]))
def test_a_conversion_there_and_back_loses_nothing(unit: str, wanted: str) -> None:
    assert factor(unit, wanted) * factor(wanted, unit) == 1


@given(st.text(max_size=20))
def test_free_text_never_reaches_the_units_library(text: str) -> None:
    for parse in (parse_container, parse_spread, parse_per):
        try:
            parse(text)
        except ValueError as refusal:
            message = str(refusal)
        else:
            message = ""
        assert not message or "write" in message
