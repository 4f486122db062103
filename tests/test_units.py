import csv
import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.reading.trade_units import factor
from estimator.units import (
    IN2_PER_FT2,
    IN3_PER_FT3,
    IN3_PER_GAL,
    IN3_PER_M3,
    KG_PER_LB,
    L_PER_GAL,
    M2_PER_FT2,
    MM_PER_IN,
    amount_text,
    area_text,
    board_length_text,
    common_step,
    decimal_text,
    inch_text,
    length_text,
    parse_area,
    parse_length,
    parse_number,
    plain,
)

sixty_fourths = st.integers(1, 64 * 12 * 200).map(lambda count: Fraction(count, 64))
tenths_of_mm = st.integers(1, 10 * 60_000).map(lambda count: Fraction(count, 10))


def inches(text: str, unit: str = "in", *, decimal_comma: bool = False) -> Fraction:
    return parse_length(text, unit=unit, decimal_comma=decimal_comma)


def published(unit: str, wanted: str) -> Fraction:
    """A factor of the GNU Units 3.22 database, from tests/reference/unit_conversions.csv."""
    path = Path(__file__).parent / "reference" / "unit_conversions.csv"
    with path.open(encoding="utf-8", newline="") as file:
        (row,) = [row for row in csv.DictReader(file) if (row["from_unit"], row["to_unit"]) == (unit, wanted)]
    assert row["status"] == "verified"
    return Fraction(row["factor"])


@pytest.mark.parametrize(
    "text",
    [
        "22 1/4", "22-1/4", "22 - 1/4", "22–1/4", "22 1/4 in", "22 1/4in.", '22-1/4"', "22 1/4''", "22 1/4”", "22 1/4″",
        "22¼", "22 ¼ inches", "22 1⁄4 Inch", "22\u00a01/4\u202fin", " 22  1/4 ", "22.25", "22.25 in", "22,25 in",
        "1' 10 1/4\"", "1’ 10 1/4”", "1′10¼″", "1 ft 10 1/4 in", "1 ft. 10.25", "1'-10 1/4\"", "1 foot 10-1/4 inches",
        "89/4", "565.15 mm", "565,15 mm", "56.515cm", "0.56515 m", "565.15 MM",
    ],
)  # fmt: skip
def test_a_length_reads_the_same_however_a_woodworker_writes_it(text: str) -> None:
    assert inches(text) == Fraction(89, 4)


@pytest.mark.parametrize(
    ("text", "expected_in"),
    [
        ("5' 3 1/2\"", Fraction(127, 2)),
        ("5 ft 3 in", Fraction(63)),
        ("5.5 ft", Fraction(66)),
        ("12'", Fraction(144)),
        ("24 inch", Fraction(24)),
        ("24 inches", Fraction(24)),
        ("12 feet", Fraction(144)),
        ("3/4", Fraction(3, 4)),
        (".75", Fraction(3, 4)),
        ("½", Fraction(1, 2)),
        ("1 1/64", Fraction(65, 64)),
        ("600 mm", 600 / Fraction("25.4")),
        ("60 cm", 600 / Fraction("25.4")),
        ("200 ft", Fraction(2400)),
    ],
)
def test_lengths_are_exact_inches(text: str, expected_in: Fraction) -> None:
    assert inches(text) == expected_in


def test_a_bare_number_is_in_the_unit_of_the_list() -> None:
    assert inches("610", "in") == 610
    assert inches("610", "mm") == 610 / Fraction("25.4")
    assert inches("24 in", "mm") == 24
    assert inches('24 1/2"', "mm") == Fraction(49, 2)


def test_a_list_with_decimal_commas_reads_both_marks_where_they_can_mean_one_thing_only() -> None:
    assert inches("22,25", decimal_comma=True) == inches("22.25", decimal_comma=True) == Fraction(89, 4)
    assert inches("22,25") == Fraction(89, 4)
    assert inches("0,125") == inches("0.125", decimal_comma=True) == Fraction(1, 8)
    assert inches("1250,5 mm", decimal_comma=True) == inches("1250.5 mm")


@pytest.mark.parametrize("text", ["1,250", "22,250", "-1,250"])
def test_a_comma_that_could_group_thousands_or_begin_decimals_is_never_guessed(text: str) -> None:
    thousands, decimals = text.replace(",", ""), text.replace(",", ".")
    with pytest.raises(ValueError, match=re.escape(f"could mean two numbers; write {thousands} or {decimals}")):
        parse_number(text)


def test_a_point_in_a_list_with_decimal_commas_is_not_guessed_either() -> None:
    with pytest.raises(ValueError, match=r"write 1250 or 1,250\Z"):
        inches("1.250 mm", decimal_comma=True)


def test_a_length_that_could_be_two_says_how_to_write_each() -> None:
    with pytest.raises(ValueError, match=r'"1,250" could mean two numbers; write 1250 or 1\.250'):
        inches("1,250 mm")


@pytest.mark.parametrize(
    "text",
    [
        "", "a", "24 1/", "24 /2", "1//2", "22 1/0", "22 5/4", "1 2", "22 4 in", "--5", "-5", "22.5.5", "1e5", "nan",
        "inf", "24 yd", "24 x", "5' 13\"", "5.5' 3\"", "5 in 3 ft", "2 m 10 cm", "5' 3 mm", "22²", "9**9", "=A1",
        "24 1/2 1/2", "1,250,000.5.5", '"', "in", "1/12345", "1" * 5000, "1/" + "1" * 5000,
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_the_ways_to_write_one(text: str) -> None:
    with pytest.raises(
        ValueError, match=r"is not a length; write 24, 24 1/2, 24\.5 in, 5' 3 1/2\" or 610 mm$"
    ) as caught:
        inches(text)
    assert str(caught.value).startswith(f'"{text}"')


@pytest.mark.parametrize("text", ["0", "0 mm", "0/4", "201 ft", "99999999999999999999"])
def test_a_length_that_nothing_can_have_is_refused_with_its_bounds(text: str) -> None:
    with pytest.raises(ValueError, match=r"is out of range; write a length above 0, up to 200 ft\Z"):
        inches(text)


def test_a_saw_setting_may_be_nothing_where_that_is_asked_for() -> None:
    assert parse_length("0", unit="in", may_be_zero=True) == 0
    with pytest.raises(ValueError, match="write a length from 0, up to 200 ft"):
        parse_length("201 ft", unit="in", may_be_zero=True)


@pytest.mark.parametrize("text", ["03.04.2026", "3/4/2026", "2026-04-03", "4-Mar", "04. April", "Mar-04"])
def test_a_fraction_that_a_spreadsheet_turned_into_a_date_is_told_apart(text: str) -> None:
    with pytest.raises(
        ValueError, match=r"turned into a date; format the column as text and write it again, like 3/4\Z"
    ):
        inches(text)


def test_a_fraction_of_a_millimetre_is_refused_for_it_was_meant_as_inches() -> None:
    for text, unit in (("22 1/4 mm", "in"), ("22 1/4", "mm")):
        with pytest.raises(ValueError, match=r"has a fraction of a metric unit; write it as a decimal, like 12\.5 mm"):
            inches(text, unit)


@pytest.mark.parametrize(
    ("text", "decimal_comma", "expected"),
    [
        ("1,250.00", False, 1250),
        ("1.250,00", True, 1250),
        ("1,250,000", False, 1_250_000),
        ("1 250 000", False, 1_250_000),
        ("1\u202f250,50", True, Fraction("1250.5")),
        ("-0.5", False, Fraction(-1, 2)),
        ("−0,5", True, Fraction(-1, 2)),  # a minus sign from a word processor
        ("+3", False, 3),
        ("5.", False, 5),
    ],
)
def test_numbers_read_as_they_are_written(text: str, decimal_comma: bool, expected: Fraction) -> None:  # noqa: FBT001 - a table of cases
    assert parse_number(text, decimal_comma=decimal_comma) == expected


@pytest.mark.parametrize(
    "text", ["1 2", "12 34", "1,25,000", "1e5", "nan", "inf", "0x10", "1_000", "", "-", ".", "1" * 29]
)
def test_what_is_no_plain_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a number; write it like 22 or 22\.5$"):
        parse_number(text)


@pytest.mark.parametrize(
    ("text", "unit", "expected_in2"),
    [
        ("1 1/2 x 3 1/2", "in", Fraction(21, 4)),
        ("1½×3½", "in", Fraction(21, 4)),
        ("5.25 in2", "mm", Fraction(21, 4)),
        ("5,25 in²", "in", Fraction(21, 4)),
        ("20 x 90 mm", "in", 1800 / Fraction("25.4") ** 2),
        ("20 mm x 90", "in", 1800 / Fraction("25.4") ** 2),
        ("20 x 90", "mm", 1800 / Fraction("25.4") ** 2),
        ("18 cm2", "in", 1800 / Fraction("25.4") ** 2),
        ("1 1/2 x 3 1/2 in", "mm", Fraction(21, 4)),
        ('1 1/2" x 3 1/2', "mm", Fraction(21, 4)),
        ("20 mm x 1 in", "in", 20 / Fraction("25.4")),
    ],
)
def test_areas_are_exact_and_a_unit_on_one_side_holds_for_both(text: str, unit: str, expected_in2: Fraction) -> None:
    assert parse_area(text, unit=unit) == expected_in2


@pytest.mark.parametrize("text", ["1 1/2 by 3 1/2", "5", "5 in", "1 x 2 x 3", "x", "1 x", "5 in3"])
def test_what_is_no_area_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write "):
        parse_area(text, unit="in")


def test_conversion_factors_are_the_published_ones() -> None:
    assert published("inch", "m") * 1000 == MM_PER_IN
    assert published("foot", "m") * 1000 / MM_PER_IN == 12
    assert published("square_foot", "m2") == M2_PER_FT2
    assert published("square_foot", "m2") / published("square_inch", "m2") == IN2_PER_FT2
    assert published("cubic_foot", "m3") / published("cubic_inch", "m3") == IN3_PER_FT3
    assert 1 / published("cubic_inch", "m3") == IN3_PER_M3
    assert published("us_gallon", "in3") == IN3_PER_GAL
    assert published("us_gallon", "L") == L_PER_GAL
    assert published("pound", "kg") == KG_PER_LB


@pytest.mark.parametrize(
    ("unit", "wanted", "ours", "ours_wanted"),
    [
        ("inch", "m", "inch", "meter"),
        ("foot", "m", "foot", "meter"),
        ("square_foot", "m2", "foot ** 2", "meter ** 2"),
        ("cubic_inch", "m3", "inch ** 3", "meter ** 3"),
        ("cubic_foot", "m3", "foot ** 3", "meter ** 3"),
        ("board_foot", "m3", "board_foot", "meter ** 3"),
        ("board_foot", "in3", "board_foot", "inch ** 3"),
        ("us_gallon", "in3", "gallon", "inch ** 3"),
        ("us_gallon", "L", "gallon", "liter"),
        ("us_quart", "L", "quart", "liter"),
        ("us_pint", "L", "pint_us", "liter"),
        ("us_fluid_ounce", "mL", "fluid_ounce", "milliliter"),
        ("us_gallon", "us_quart", "gallon", "quart"),
        ("us_gallon", "us_pint", "gallon", "pint_us"),
        ("us_gallon", "us_fluid_ounce", "gallon", "fluid_ounce"),
    ],
)
def test_units_of_the_trade_convert_by_the_published_factors(
    unit: str, wanted: str, ours: str, ours_wanted: str
) -> None:
    assert factor(ours, ours_wanted) == published(unit, wanted)


def test_spreading_rates_convert_by_the_published_factor() -> None:
    # GNU Units prints it to 7 digits: 0.02454239.
    ours = factor("foot ** 2 / gallon", "meter ** 2 / liter")
    assert abs(ours - published("ft2_per_us_gallon", "m2_per_L")) < Fraction("0.000000005")


@given(sixty_fourths)
def test_inches_written_and_read_again_are_the_same(length_in: Fraction) -> None:
    assert inches(length_text(length_in, "in"), "mm") == length_in
    assert inches(inch_text(length_in, mark='"')) == length_in
    assert inches(board_length_text(length_in, "in")) == length_in


@given(tenths_of_mm)
def test_millimetres_written_and_read_again_are_the_same(length_mm: Fraction) -> None:
    length_in = length_mm / MM_PER_IN
    assert inches(length_text(length_in, "mm")) == length_in
    assert inches(f"{decimal_text(length_mm, 1)}", "mm") == length_in
    if length_mm.denominator == 1:  # boards are named in metres to the millimetre
        assert inches(board_length_text(length_in, "mm")) == length_in


@given(sixty_fourths)
def test_inches_in_millimetres_lose_nothing(length_in: Fraction) -> None:
    length_mm = length_in * MM_PER_IN
    # 1/64 in is 0.396875 mm, so six decimals write any of them whole.
    assert inches(f"{decimal_text(length_mm, 6)} mm") == length_in


@given(st.fractions(min_value=Fraction(1, 100), max_value=2400))
def test_any_length_is_written_to_the_nearest_sixty_fourth(length_in: Fraction) -> None:
    for text in (length_text(length_in, "in"), board_length_text(length_in, "in")):
        if text not in ("0 in", "0 ft"):
            assert abs(inches(text) - length_in) <= Fraction(1, 128)


@given(st.text(max_size=30))
def test_a_length_is_read_or_refused_and_nothing_else_happens(text: str) -> None:
    for unit in ("in", "mm"):
        try:
            length_in = inches(text, unit)
        except ValueError as refusal:
            message = str(refusal)
        else:
            message = "" if 0 < length_in <= 2400 else "no length"
        assert not message or "write" in message


@given(st.text(alphabet="0123456789 /.,-'\"ftinmcx½×@", max_size=14))
def test_near_lengths_and_areas_are_read_or_refused(text: str) -> None:
    for read in (parse_length, parse_area):
        try:
            read(text, unit="in")
        except ValueError as refusal:
            message = str(refusal)
        else:
            message = ""
        assert not message or "write" in message


def test_signs_that_word_processors_put_in_are_written_plainly() -> None:
    assert plain("5′ 3½″") == "5' 3 1/2\""
    assert plain("a – b\u00a0c") == "a - b c"


def test_a_board_length_that_rounds_up_to_a_foot_is_written_in_feet() -> None:
    assert board_length_text(Fraction(120) - Fraction(1, 1000), "in") == "10 ft"
    assert board_length_text(Fraction(126), "in") == "10 ft 6 in"
    assert board_length_text(3000 / MM_PER_IN, "mm") == "3 m"


def test_small_areas_are_written_in_the_unit_of_the_build() -> None:
    assert area_text(5.25, "in") == "5.25 in2"
    assert area_text(5.25, "mm") == "33.9 cm2"  # 5.25 x 6.4516 = 33.87


@given(st.lists(sixty_fourths, min_size=1, max_size=6).map(tuple))
def test_the_common_step_divides_every_length_and_no_larger_one_does(lengths: tuple[Fraction, ...]) -> None:
    step = common_step(lengths)
    counts = [length / step for length in lengths]
    assert all(count.denominator == 1 for count in counts)
    assert all(any((count / more).denominator != 1 for count in counts) for more in range(2, 8))


def test_an_amount_keeps_two_figures_however_small_it_is() -> None:
    shown = [amount_text(value, 2) for value in (0, 12, 0.394, 0.0999, 0.05, 0.0042, Fraction(1, 3000))]
    assert shown == ["0.00", "12.00", "0.39", "0.10", "0.05", "0.0042", "0.00033"]
    assert [amount_text(value, 1) for value in (3.14, 0.5, 0.04)] == ["3.1", "0.5", "0.040"]
