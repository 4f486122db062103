import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.standards.coating import (
    FT2_MIL_PER_GAL,
    M2_UM_PER_L,
    practical_rate,
    published_range,
    published_ranges,
    theoretical_rate_ft2_per_gal,
    theoretical_rate_m2_per_l,
    wet_film,
)


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


COATING = {row["id"]: row for row in verified("coating.csv")}


def expected(row_id: str) -> float:
    return float(COATING[row_id]["expected_low"])


def tolerance(row_id: str) -> float:
    return float(COATING[row_id]["abs_tolerance"])


def test_a_gallon_and_a_litre_spread_as_far_as_coating_guides_print() -> None:
    # Coating maker's general information sheet "Spreading Rate" (Scribd 343849341): 1604 ft2 mil/gal, 1000 m2 um/L.
    assert pytest.approx(expected("us_factor"), abs=tolerance("us_factor")) == FT2_MIL_PER_GAL
    assert expected("metric_factor") == M2_UM_PER_L


@pytest.mark.parametrize(
    "row", [row for row in COATING.values() if row["dry_film_unit"] == "um"], ids=lambda row: row["id"]
)
def test_metric_rates_and_films_are_what_the_tables_and_examples_print(row: dict[str, str]) -> None:
    # Coating makers' sheets: "Spreading Rate" (Scribd 343849341), "Coverage/Spreading Rate" table (Scribd 290710110),
    # Tech Note 5.3 "Handy calculations" (Scribd 476982351).
    solids, film = float(row["volume_solids_percent"]), float(row["dry_film"])
    if row["expected_unit"] == "um_wet":
        found = wet_film(dry_film=film, volume_solids_percent=solids)
    else:
        found = theoretical_rate_m2_per_l(volume_solids_percent=solids, dry_film_um=film)
    assert found == pytest.approx(float(row["expected_low"]), abs=float(row["abs_tolerance"]))


def test_the_us_example_is_what_the_sheet_prints() -> None:
    # "Spreading Rate" (Scribd 343849341): 65 percent solids at 5 mil is 208.52 ft2/gal with 1604, 208.54 unrounded.
    rate = theoretical_rate_ft2_per_gal(volume_solids_percent=65, dry_film_mil=5)
    assert rate == pytest.approx(expected("us_65pct_5mil"), abs=tolerance("us_65pct_5mil"))


def test_a_wet_film_is_what_a_litre_of_all_solids_would_leave() -> None:
    # painting-advice blog, June 2014: wet film (um) = 1000 / rate, so 10 m2/L is 100 um wet and 8 m2/L is 125 um.
    for rate, row_id in ((10, "wft_at_10m2L"), (8, "wft_at_8m2L")):
        assert theoretical_rate_m2_per_l(volume_solids_percent=100, dry_film_um=expected(row_id)) == rate


def test_losses_leave_the_practical_rate_the_sources_print() -> None:
    # Corrosionpedia, "Practical coverage": 100 ft2/gal less 30 percent is 70.
    assert practical_rate(100, 30) == pytest.approx(expected("practical_100_loss30"))
    # Georgia P2AD, "Pollution Prevention Tips for Spray Painters": 300 ft2/gal at 30 and 15 percent transfer.
    assert practical_rate(300, 70) == pytest.approx(expected("te_300ft2_at_30"))
    assert practical_rate(300, 85) == pytest.approx(expected("te_300ft2_at_15"))
    # Ron Joseph, "Calculating Paint Coverage", Oct 2003: 52 percent solids, 1.5 mil, 30 percent transfer: 167 ft2/gal.
    theoretical = theoretical_rate_ft2_per_gal(volume_solids_percent=52, dry_film_mil=1.5)
    assert practical_rate(theoretical, 70) == pytest.approx(expected("us_52pct_1.5mil_te30"), abs=0.5)


@pytest.mark.parametrize(
    "row",
    [row for row in COATING.values() if row["kind"] in {"loss", "transfer_efficiency", "coverage"}],
    ids=lambda row: row["id"],
)
def test_published_ranges_are_those_of_the_sources(row: dict[str, str]) -> None:
    # Sources stand in the rows. The handbook prints stain coverage in both systems: 1 ft2/gal is 0.02454239 m2/L.
    per_gallon = 0.02454239 if row["expected_unit"] == "m2/L" else 1
    within = float(row["abs_tolerance"] or 0)
    found = published_range(row["id"].removesuffix("_us").removesuffix("_si"))
    assert found.kind == row["kind"]
    assert found.low * per_gallon == pytest.approx(float(row["expected_low"]), abs=within)
    assert found.high * per_gallon == pytest.approx(float(row["expected_high"]), abs=within)


def test_every_range_has_its_source_and_runs_upward() -> None:
    ranges = [one for kind in ("loss", "transfer_efficiency", "coverage") for one in published_ranges(kind)]
    assert len({one.key for one in ranges}) == len(ranges)
    for one in ranges:
        assert 0 < one.low <= one.high
        assert one.source


@given(st.floats(1, 100), st.floats(0.5, 20))
def test_both_systems_give_the_same_rate(solids: float, film_mil: float) -> None:
    # 1 mil is 25.4 um; 1 ft2 per US gallon is 0.09290304 m2 / 3.785411784 L (GNU Units 3.22).
    us = theoretical_rate_ft2_per_gal(volume_solids_percent=solids, dry_film_mil=film_mil)
    metric = theoretical_rate_m2_per_l(volume_solids_percent=solids, dry_film_um=film_mil * 25.4)
    assert us * 0.09290304 / 3.785411784 == pytest.approx(metric)
