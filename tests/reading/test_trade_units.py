import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.reading.trade_units import face_pricing, factor, parse_container, parse_per, parse_spread, ratio
from estimator.standards.sections import parse_section

with (Path(__file__).parents[1] / "reference" / "unit_conversions.csv").open(encoding="utf-8", newline="") as table:
    CONVERSIONS = [row for row in csv.DictReader(table) if row["status"] == "verified"]
# Names of the table, as price lists write them.
WRITTEN = {
    "us_gallon": "gal",
    "us_quart": "quart",
    "us_pint": "pt",
    "us_fluid_ounce": "fl oz",
    "imperial_gallon": "imp gal",
    "imperial_quart": "imperial quart",
    "imperial_pint": "UK pt",
    "imperial_fluid_ounce": "imp. fl oz",
    "L": "L",
    "mL": "ml",
    "pound": "lb",
    "kg": "kg",
}
BY_RATIO = [row for row in CONVERSIONS if row["from_unit"] in WRITTEN and row["to_unit"] in WRITTEN]


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
        # An imperial gallon is 4.54609 L, GNU Units 3.22: 1.2 US gallons.
        ("1 imp gal", Fraction(454609, 100000) / Fraction("3.785411784")),
        ("8 imperial pints", Fraction(454609, 100000) / Fraction("3.785411784")),
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
    with pytest.raises(ValueError, match="write each, ft, m, 100 ft, bf, MBF, ft3, m3, ft2 or m2"):
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


@pytest.mark.parametrize("row", BY_RATIO, ids=lambda row: f"{row['from_unit']} to {row['to_unit']}")
def test_liquids_and_weights_convert_by_the_published_factors(row: dict[str, str]) -> None:
    # Each row names its source: GNU Units 3.22, NIST SP 811 and HB 44 as quoted there. All of them are exact.
    unit, wanted = WRITTEN[row["from_unit"]], WRITTEN[row["to_unit"]]
    assert ratio(unit, wanted) == Fraction(row["factor"])
    assert ratio(wanted, unit) == 1 / Fraction(row["factor"])


def test_every_published_factor_of_liquids_and_of_the_pound_is_tested() -> None:
    assert len(BY_RATIO) == 12


def test_what_is_of_two_kinds_or_of_none_does_not_convert() -> None:
    for unit, wanted in (("lb", "gal"), ("L", "kg"), ("gal", "rags"), ("", "lb"), ("m", "m")):
        assert ratio(unit, wanted) is None


@pytest.mark.parametrize(
    ("per", "section", "by_volume", "times", "becomes"),
    [
        # A 145 mm board: a square metre of face is 1 / 0.145 m long, so a metre costs 0.145 of it.
        ("m2", "27 x 145 mm", False, Fraction("0.145"), "m"),
        ("per sqm", "27 x 145 mm", False, Fraction("0.145"), "m"),
        # 6 in nominal is half a foot.
        ("ft2", "5/4x6", False, Fraction(1, 2), "ft"),
        # 52 mm thick: a cubic metre has 1 / 0.052 square metres of face.
        ("m²", "52 mm", True, 1 / Fraction("0.052"), "m3"),
        ("m2", "27 x 145 mm", True, 1 / Fraction("0.027"), "m3"),
        # A board foot is a square foot, 1 in thick: 8/4 has two of them in a square foot of face, 3/4 in one (US Navy
        # Engineering Aid Basic: less than 1 in counts as 1 in).
        ("sq ft", "8/4", True, Fraction(1, 2), "bf"),
        ("sq ft", "3/4 in", True, Fraction(1), "bf"),
    ],
)
def test_a_price_per_face_becomes_one_by_length_or_volume(
    per: str, section: str, *, by_volume: bool, times: Fraction, becomes: str
) -> None:
    assert face_pricing(per, parse_section(section), by_volume=by_volume) == (times, becomes)
    assert parse_per(becomes)


@pytest.mark.parametrize("per", ["", "m", "m3", "ft", "each", "kg", "ft2/gal"])
def test_what_is_no_area_is_left_to_others(per: str) -> None:
    assert face_pricing(per, parse_section("2x4"), by_volume=False) is None


@given(
    st.sampled_from(["27 x 145 mm", "1 x 5 1/2 in", "5/4x6", "8/4x6"]),
    st.sampled_from(["m2", "ft2"]),
    st.fractions(min_value=1, max_value=1000, max_denominator=100),
)
def test_a_board_costs_the_same_by_its_face_and_by_its_length(section: str, per: str, price: Fraction) -> None:
    board = parse_section(section)
    width_in, length_in = board.nominal_width_in, Fraction(96)
    assert width_in is not None
    face = width_in * length_in * (Fraction("0.0254") ** 2 if per == "m2" else Fraction(1, 144))
    by_length = face_pricing(per, board, by_volume=False)
    assert by_length is not None
    times, unit = by_length
    assert price * face == price * times * (length_in / 12) / parse_per(unit).units


def test_a_capital_m_alone_is_refused_and_what_is_clear_is_read() -> None:
    with pytest.raises(ValueError, match="a thousand board feet or a metre; write MBF or m"):
        parse_per("M")
    assert parse_per("m").basis == "foot"
    assert parse_per("MBF").units == 1000
