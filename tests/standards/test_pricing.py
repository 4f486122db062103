import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.pricing import (
    margin_from_markup,
    markup_from_margin,
    overhead_rate,
    price_from_margin,
    price_from_markup,
)


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


COSTING = {row["id"]: row for row in verified("costing.csv")}


def printed(row_id: str) -> Decimal:
    return Decimal(COSTING[row_id]["expected_value"])


def near(found: Decimal, row_id: str) -> bool:
    return abs(found - printed(row_id)) <= Decimal(COSTING[row_id]["abs_tolerance"])


def test_margin_and_markup_are_converted_as_the_textbook_prints() -> None:
    # themathsguide.ie, "Converting between margin and markup": a margin of 20 % is a mark-up of 25 %.
    assert markup_from_margin(Decimal("0.20")) == printed("markup_from_margin_20")
    assert margin_from_markup(Decimal("0.25")) == printed("margin_from_markup_25")


def test_overhead_rates_are_those_of_the_textbook_cases() -> None:
    # Weygandt, Kimmel and Kieso, "Greetings Inc.": 375,200 of overhead on 1,340,000 of material is 0.28.
    base = Decimal(80_000 * 12 + 15_000 * 16 + 7_000 * 20)
    assert base == printed("overhead_base_total")
    rate = overhead_rate(overhead=Decimal(375_200), base=base)
    assert near(rate, "overhead_rate_on_material")
    assert near(80_000 * 12 * rate, "overhead_applied_unframed")
    assert near(15_000 * 16 * rate, "overhead_applied_steel")
    # Pinnacle Inc. job-cost exercise (wizedu.com): 446,546 of overhead on 250,000 of labour is 1.7862.
    assert near(overhead_rate(overhead=Decimal(446_546), base=Decimal(250_000)), "overhead_rate_on_labor")


def test_jobs_cost_what_the_textbook_cases_print() -> None:
    # "Greetings Inc.": material + labour + overhead at 0.28 of the main material.
    rate = overhead_rate(overhead=Decimal(375_200), base=Decimal(1_340_000))
    assert near(Decimal("12.00") + Decimal("2.00") + rate * Decimal("12.00"), "job_unframed")
    assert near(Decimal("20.00") + Decimal("9.00") + rate * Decimal("16.00"), "job_steel_frame")
    assert near(Decimal("30.00") + Decimal("12.50") + rate * Decimal("20.00"), "job_wood_frame")
    # Pinnacle Inc.: material 10,750, labour 384.
    labour_rate = overhead_rate(overhead=Decimal(446_546), base=Decimal(250_000))
    assert near(10_750 + 384 + 384 * labour_rate, "job_454")


def test_a_margin_is_of_the_price_and_a_markup_of_the_cost() -> None:
    # Cost 80 at a margin of 20 %: 80 / 0.8 = 100, of which 20 is a fifth. A mark-up of 20 % gives 96.
    assert price_from_margin(Decimal(80), Decimal("0.20")) == 100
    assert price_from_markup(Decimal(80), Decimal("0.20")) == 96


@pytest.mark.parametrize("margin", [Decimal(1), Decimal("1.5")])
def test_a_margin_of_all_the_price_is_refused(margin: Decimal) -> None:
    with pytest.raises(ValueError, match="write a margin below 100 %"):
        markup_from_margin(margin)
    with pytest.raises(ValueError, match="write a margin below 100 %"):
        price_from_margin(Decimal(80), margin)


def test_overhead_spread_over_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="give a base above 0"):
        overhead_rate(overhead=Decimal(100), base=Decimal(0))


@given(st.decimals(0, "0.95", places=4), st.decimals("0.01", 100_000, places=2))
def test_margin_and_markup_are_two_names_for_one_price(margin: Decimal, cost: Decimal) -> None:
    # Decimal carries 28 digits, so a thousandth of a cent is far more than the division can lose.
    markup = markup_from_margin(margin)
    assert abs(margin_from_markup(markup) - margin) < Decimal("1e-20")
    price = price_from_margin(cost, margin)
    assert abs(price_from_markup(cost, markup) - price) < Decimal("0.00001")
    assert abs((price - cost) - margin * price) < Decimal("0.00001")
