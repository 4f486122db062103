import csv
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.standards.grade_yield import find_grade, grades


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


@pytest.mark.parametrize("row", verified("hardwood_grade_yields.csv"), ids=lambda row: row["grade"])
def test_grades_promise_what_the_charts_print(row: dict[str, str]) -> None:
    # Chart of the NHLA rules, hooddistribution.com, "Lumber Grades"; sizes also brazosfp.com, newwoodworker.com.
    grade = find_grade(row["grade"])
    assert grade is not None
    # Printed in percent to four decimals.
    assert abs(100 * grade.minimum_clear_yield - Fraction(row["min_clear_yield_percent"])) < Fraction("0.0001")
    assert grade.minimum_board_width_in == int(row["min_board_width_in"])
    assert grade.minimum_board_length_ft == int(row["min_board_length_ft"])


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("fas", "FAS"),
        ("F1F", "FAS One Face (F1F)"),
        ("FAS one face", "FAS One Face (F1F)"),
        ("Select", "Selects"),
        ("1C", "No. 1 Common"),
        ("#1 Common", "No. 1 Common"),
        ("No.1 Com", "No. 1 Common"),
        ("number 1 common", "No. 1 Common"),
        ("1 common", "No. 1 Common"),
        ("2A", "No. 2A Common"),
        ("no. 2-a common", "No. 2A Common"),
        ("3B Common", "No. 3B Common"),
    ],
)
def test_a_grade_is_found_however_a_yard_writes_it(written: str, name: str) -> None:
    grade = find_grade(written)
    assert grade is not None
    assert grade.name == name


@pytest.mark.parametrize("written", ["", "construction", "No. 2 Common", "clear", "B and better", "10C"])
def test_what_is_no_hardwood_grade_is_not_guessed(written: str) -> None:
    assert find_grade(written) is None


def test_better_grades_come_first_and_promise_no_less() -> None:
    yields = [grade.minimum_clear_yield for grade in grades()]
    assert yields == sorted(yields, reverse=True)
