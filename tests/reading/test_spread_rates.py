"""Rates worked out from solids and film, read as a user writes them, against what coating guides print."""

import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.measures import measures
from estimator.reading.order import read_order
from estimator.reading.prices import read_price_tables
from estimator.reading.spread_rates import SpreadRate
from estimator.reading.trade_units import parse_dry_film
from estimator.standards.coating import practical_rate

TESTS = Path(__file__).parents[1]
RATE_UNITS = {"ft2/gal": "in", "m2/L": "mm"}

with (TESTS / "reference" / "coating.csv").open(encoding="utf-8", newline="") as file:
    PUBLISHED = [
        row
        for row in csv.DictReader(file)
        if row["status"] == "verified" and row["dry_film"] and row["expected_unit"] in RATE_UNITS
    ]


def read(folder: Path, lines: str) -> tuple[SpreadRate, ...]:
    shop = read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2)).shop
    (folder / "spread_rates.csv").write_text(lines, encoding="utf-8")
    findings = Findings()
    found = read_price_tables(replace(shop, price_tables=folder), findings).spread_rates
    assert findings.faults == []
    return found


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["id"])
def test_solids_and_film_go_as_far_as_the_published_examples(row: dict[str, str], tmp_path: Path) -> None:
    film = f"{row['dry_film']} {row['dry_film_unit']}"
    (rate,) = read(
        tmp_path,
        "product,texture,coat,volume_solids_percent,dry_film\n"
        f"Sample,smooth,any,{row['volume_solids_percent']},{film}\n",
    )
    assert rate.spread.low_ft2_per_gal == rate.spread.high_ft2_per_gal
    shown = measures(RATE_UNITS[row["expected_unit"]]).rate_of(rate.spread.low_ft2_per_gal)
    if row["transfer_efficiency_percent"]:
        shown = practical_rate(shown, 100 - float(row["transfer_efficiency_percent"]))
    assert shown == pytest.approx(float(row["expected_low"]), abs=max(float(row["abs_tolerance"]), 1e-9))


def test_the_published_examples_are_there() -> None:
    assert {"us_factor", "metric_factor", "us_52pct_1.5mil_te30"} <= {row["id"] for row in PUBLISHED}


def test_the_source_says_that_a_rate_is_theoretical(tmp_path: Path) -> None:
    label, theory = read(
        tmp_path,
        "product,texture,coat,rate,volume_solids_percent,dry_film,source\n"
        "Sample,smooth,first,200 - 300 ft2/gal,,,\n"
        "Sample,smooth,further,,52 %,1.5 mil,data sheet\n",
    )
    assert label.source == "no source given"
    assert theory.source == (
        "theoretical, from 52 % solids by volume in a dry film of 1.5 mil, so low = high; data sheet"
    )


def test_a_mil_is_a_thousandth_of_an_inch() -> None:
    assert parse_dry_film("1.5 mil").thickness_mil == Fraction(3, 2)
    assert parse_dry_film("25,4 µm", decimal_comma=True).thickness_mil == 1
    assert parse_dry_film("254 microns").thickness_mil == Decimal(10)
