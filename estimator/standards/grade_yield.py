"""NHLA hardwood grades and the least share of a board's face that each promises in clear cuttings.

The yield is the promise of the grade, not of a cutting plan: a part needs whole cuttings of its own size, and the
better boards of a grade yield more.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from estimator.standards.tables import read_table


@dataclass(frozen=True, kw_only=True, slots=True)
class Grade:
    """One hardwood grade."""

    name: str
    minimum_clear_yield: Fraction
    minimum_board_width_in: int
    minimum_board_length_ft: int
    minimum_cutting: str
    graded_from: str
    source: str


def grades() -> tuple[Grade, ...]:
    """Return the grades, best first."""
    return tuple(
        Grade(
            name=row["grade"],
            # Cutting units are counted in twelfths of the surface measure: SM x 8 for No. 1 Common is 8/12.
            minimum_clear_yield=Fraction(int(row["clear_twelfths"]), 12),
            minimum_board_width_in=int(row["minimum_board_width_in"]),
            minimum_board_length_ft=int(row["minimum_board_length_ft"]),
            minimum_cutting=row["minimum_cutting"],
            graded_from=row["graded_from"],
            source=row["source"],
        )
        for row in read_table("hardwood_grades.csv")
    )


def find_grade(name: str) -> Grade | None:
    """Return the grade a name means (`FAS`, `No. 1 Common`, `#1 com`, `1C`); None where it is no hardwood grade.

    A bare No. 2 or No. 3 Common is None too: it does not say whether A (clear) or B (sound) is meant.
    """
    return _grades_by_spelling().get(_spelling(name))


@cache
def _grades_by_spelling() -> dict[str, Grade]:
    by_name = {grade.name: grade for grade in grades()}
    return {
        _spelling(spelling): by_name[row["grade"]]
        for row in read_table("hardwood_grades.csv")
        for spelling in (row["grade"], *row["also_written"].split(";"))
    }


def _spelling(name: str) -> str:
    """Return a grade's name without case, signs and the word number."""
    words = "".join(sign if sign.isalnum() else " " for sign in name.casefold()).split()
    return "".join(word for word in words if word not in {"no", "number"}).replace("common", "com")
