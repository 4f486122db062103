from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.missing_rows import exact_length_text
from estimator.units import MM_PER_IN, parse_length

UNITS = st.sampled_from(["in", "mm"])


@given(sixty_fourths=st.integers(1, 64 * 2000), unit=UNITS)
def test_a_length_in_fractions_of_an_inch_reads_back_to_itself(sixty_fourths: int, unit: str) -> None:
    length_in = Fraction(sixty_fourths, 64)
    assert parse_length(exact_length_text(length_in, unit), unit=unit) == length_in


@given(thousandths=st.integers(1, 1000 * 50_000), unit=UNITS)
def test_a_length_in_thousandths_of_a_millimetre_reads_back_to_itself(thousandths: int, unit: str) -> None:
    length_in = Fraction(thousandths, 1000) / MM_PER_IN
    assert parse_length(exact_length_text(length_in, unit), unit=unit) == length_in


@pytest.mark.parametrize(
    ("length_in", "unit", "text"),
    [
        (Fraction(5, 2), "in", "2 1/2 in"),
        (50 / MM_PER_IN, "in", "50 mm"),
        (50 / MM_PER_IN, "mm", "50 mm"),
        (Fraction(5, 2), "mm", "63.5 mm"),
        (Fraction(1, 3), "in", "1/3 in"),
        (Fraction(5, 3), "mm", "1 2/3 in"),
        (Fraction(1234, 1000) / MM_PER_IN, "in", "1.234 mm"),
    ],
)
def test_a_length_is_written_in_the_shops_unit_unless_that_would_change_it(
    length_in: Fraction, unit: str, text: str
) -> None:
    assert exact_length_text(length_in, unit) == text
