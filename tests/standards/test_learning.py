import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.learning import average_factor, total_factor, unit_factor


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


EXAMPLES = [row for row in verified("learning_curve_examples.csv") if row["quantity"]]


@pytest.mark.parametrize("row", verified("learning_curve.csv"), ids=lambda row: f"{row['rate_percent']}-{row['n']}")
def test_factors_are_those_of_the_textbook_table(row: dict[str, str]) -> None:
    # Heizer and Render, Operations Management, table E.3, and the solutions of ch. 13 for 95 percent.
    rate, n, within = float(row["rate_percent"]), int(row["n"]), float(row["abs_tolerance"])
    assert unit_factor(rate, n) == pytest.approx(float(row["unit_factor"]), abs=within)
    if row["cumulative_total_factor"]:
        # Totals are summed from unrounded factors; the table rounds to three places once.
        assert total_factor(rate, n) == pytest.approx(float(row["cumulative_total_factor"]), abs=within)


def computed(row: dict[str, str]) -> float:
    rate, n = float(row["rate_percent"]), int(row["n"])
    if row["quantity"] == "first_unit_time_from_276":
        return 276 / unit_factor(rate, n)
    first = float(row["first_unit_time"])
    if row["model_or_formula"] == "cumulative average (Wright)":
        if row["quantity"] == "average_time":
            return first * average_factor(rate, n)
        # The n-th unit is what the total of n has over the total of n - 1.
        return first * (n * average_factor(rate, n) - (n - 1) * average_factor(rate, n - 1))
    return (
        first
        * {
            "unit_time": unit_factor(rate, n),
            "total_time": total_factor(rate, n),
            "average_time": total_factor(rate, n) / n,
        }[row["quantity"]]
    )


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["id"])
def test_worked_examples_come_out_as_printed(row: dict[str, str]) -> None:
    # Stevenson, Operations Management 14e, examples 7S-2 and 7S-3; Heizer and Render solutions ch. 13;
    # R. M. Wideman, appendix 2 (Wright's model); see the row's source.
    assert computed(row) == pytest.approx(float(row["expected_value"]), abs=float(row["abs_tolerance"]))


@given(st.floats(60, 100), st.integers(1, 5000))
def test_doubling_the_count_brings_the_factor_down_to_the_rate(rate: float, n: int) -> None:
    assert unit_factor(rate, 2 * n) == pytest.approx(unit_factor(rate, n) * rate / 100)
    assert average_factor(rate, 2 * n) == pytest.approx(average_factor(rate, n) * rate / 100)


@given(st.floats(60, 100), st.integers(1, 300))
def test_the_total_grows_by_the_time_of_each_next_unit(rate: float, n: int) -> None:
    assert total_factor(rate, n + 1) - total_factor(rate, n) == pytest.approx(unit_factor(rate, n + 1))


def test_without_learning_every_unit_takes_as_long_as_the_first() -> None:
    assert unit_factor(100, 10_000) == 1
    assert total_factor(100, 10_000) == 10_000
    assert total_factor(85, 0) == 0


def test_a_large_total_lies_between_the_integrals_that_bound_it() -> None:
    # x^b falls, so its integral from 1 to n + 1 is below the sum and 1 + the integral from 1 to n is above it.
    # At 70.710678... percent b is -1/2 and the integral of x^b is 2 sqrt(x).
    n, rate = 10_000, 100 * 0.5**0.5
    assert 2 * (n + 1) ** 0.5 - 2 < total_factor(rate, n) < 1 + 2 * n**0.5 - 2
