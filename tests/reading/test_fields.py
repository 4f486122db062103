from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.fields import Fields, closest, name_key, nearest, parse_date

DOLLARS, EUROS, YEN = Currency(code="USD"), Currency(code="EUR"), Currency(code="JPY")


def fields(text: str, *, decimal_comma: bool = False) -> Fields:
    origin = Origin(file="list.csv", line=3)
    return Fields(texts={"cell": text}, origin=origin, findings=Findings(), decimal_comma=decimal_comma)


def refusal(row: Fields, read: Callable[[Fields], object]) -> str:
    """Return the one message that reading a value gives."""
    read(row)
    (fault,) = row.findings.faults
    return str(fault)


@pytest.mark.parametrize(
    "text", ["2026-11-04", "2026-11-4", "4.11.2026", "04.11.2026", "4 Nov 2026", "4. November 2026", "04 NOV 2026"]
)
def test_a_day_reads_the_same_however_it_is_written(text: str) -> None:
    assert parse_date(text) == date(2026, 11, 4)


@pytest.mark.parametrize("text", ["3/4/2026", "11/24/2026", "24/11/26"])
def test_a_day_with_slashes_is_refused_for_countries_read_it_differently(text: str) -> None:
    with pytest.raises(ValueError, match=r"month first in another; .*, like 2026-11-24\Z"):
        parse_date(text)


@pytest.mark.parametrize("text", ["2026-02-30", "31.4.2026", "4 Nov", "4 Nix 2026", "46330", "yesterday", "0000-01-01"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a date; write it year-month-day, like 2026-11-24"):
        parse_date(text)


@pytest.mark.parametrize("text", ["0206-11-24", "9999-12-31", "1.1.1900"])
def test_a_year_mistyped_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is out of range; write a day from 1970 to 2100"):
        parse_date(text)


@pytest.mark.parametrize("text", ["12.40", "$12.40", "$ 12.40", "12.40 USD", "12,40", "12.4"])
def test_a_price_reads_the_same_with_and_without_its_sign(text: str) -> None:
    row = fields(text)
    assert row.money("cell", currency=DOLLARS) == Decimal("12.40")
    assert not row.findings.faults


def test_a_price_with_a_decimal_comma_reads_in_a_list_that_has_them() -> None:
    assert fields("1.250,50 €", decimal_comma=True).money("cell", currency=EUROS) == Decimal("1250.50")


@pytest.mark.parametrize("text", ["0", "0.00", "-12.40", "10000000000"])
def test_a_price_of_nothing_is_a_fault_and_never_a_zero(text: str) -> None:
    message = refusal(fields(text), lambda row: row.money("cell", currency=DOLLARS))
    assert message.startswith(f'list.csv:3: cell: "{text}" is not a price; write an amount above 0')


def test_a_price_may_be_finer_than_a_cent() -> None:
    assert fields("0.0045").money("cell", currency=DOLLARS) == Decimal("0.0045")  # a nail


def test_a_price_left_out_is_a_fault() -> None:
    message = refusal(fields(""), lambda row: row.money("cell", currency=DOLLARS))
    assert message == "list.csv:3: cell: is missing; fill it in"


@pytest.mark.parametrize(("text", "expected"), [("12", 12), ("12.0", 12), ("1 200", 1200)])
def test_counts_are_whole_numbers(text: str, expected: int) -> None:
    assert fields(text).count("cell") == expected


@pytest.mark.parametrize("text", ["0", "-3", "2.5", "100001"])
def test_what_is_no_count_is_refused_with_its_bounds(text: str) -> None:
    message = refusal(fields(text), lambda row: row.count("cell"))
    assert message == f'list.csv:3: cell: "{text}" does not fit here; write a whole number from 1 to 100000'


def test_a_percent_sign_makes_no_difference() -> None:
    assert fields("6.25 %").number("cell") == fields("6.25").number("cell") == Decimal("6.25")


def test_numbers_outside_their_bounds_are_refused_with_them() -> None:
    assert refusal(fields("101"), lambda row: row.number("cell", high=100)).endswith("write a number from 0 to 100")
    above = refusal(fields("0"), lambda row: row.number("cell", high=100, above=True))
    assert above.endswith("write a number above 0, up to 100")


@pytest.mark.parametrize(("text", "expected"), [("15", 15), ("-15°", -15), ("−7.5 deg", Fraction(-15, 2)), ("", 0)])
def test_end_cuts_are_degrees_off_square(text: str, expected: Fraction) -> None:
    assert fields(text).degrees("cell") == expected


def test_an_end_cut_beyond_what_a_saw_does_is_refused() -> None:
    assert "from -75 to 75" in refusal(fields("76"), lambda row: row.degrees("cell"))


def test_words_are_known_however_they_are_capitalised_and_joined() -> None:
    assert fields("After-Assembly").choice("cell", ("before assembly", "after assembly")) == "after assembly"
    message = refusal(fields("never"), lambda row: row.choice("cell", ("before assembly", "after assembly")))
    assert message.endswith('"never" is not known here; write one of: before assembly, after assembly')


def test_a_text_that_looks_like_a_formula_stays_text() -> None:
    for text in ("=SUM(A1:A9)", "+1", "-1", "@sum", "00123", "NA", "TRUE", "1e5"):
        assert fields(text).text("cell") == text


def test_a_message_shows_a_long_value_shortened_and_on_one_line() -> None:
    message = refusal(fields("24\n1/2 " + "or so " * 500), lambda row: row.length("cell", unit="in"))
    assert len(message) < 200
    assert '"24 1/2 or so' in message
    assert "..." in message


def test_a_sign_that_no_workbook_can_hold_is_refused() -> None:
    assert "cannot be printed" in refusal(fields("Leg\x07"), lambda row: row.text("cell"))
    assert fields("two\nlines\tand a tab").text("cell") == "two\nlines\tand a tab"


def test_names_are_compared_without_case_hyphens_and_spaces() -> None:
    assert name_key("Douglas-Fir") == name_key(" douglas  fir ") == name_key("DOUGLAS_FIR")


def test_a_misspelt_name_is_answered_with_the_nearest() -> None:
    assert nearest("westren larch", ["white oak", "western larch"]) == ' (did you mean "western larch"?)'
    assert nearest("bubinga", ["white oak", "western larch"]) == ""
    assert nearest("White Oak", ["white oak"]) == ""  # the name is right: something else is wrong
    assert closest("lenght", ["length", "width"]) == "length"
    assert closest("lenght", []) == ""


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("22 1/2", Fraction(45, 2)), ("-22-1/2", Fraction(-45, 2)), ("7 1/8°", Fraction(57, 8)), ("15", Fraction(15))],
)
def test_an_end_cut_may_be_a_fraction_of_a_degree(text: str, degrees: Fraction) -> None:
    findings = Findings()
    row = Fields(texts={"left_end": text}, origin=Origin(file="parts.csv", line=2), findings=findings)
    assert row.degrees("left_end") == degrees
    assert not findings.faults
