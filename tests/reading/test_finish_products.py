import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.reading.finish_products import (
    FinishProduct,
    parse_cans,
    parse_duration,
    parse_kinds,
    parse_ratio,
    product_named,
)
from estimator.reading.order import read_order
from estimator.reading.prices import PriceTables, read_price_tables

TESTS = Path(__file__).parents[1]


def tables(folder: Path, **lists: str) -> tuple[PriceTables, list[str]]:
    shop = read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2)).shop
    for name, text in lists.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    findings = Findings()
    found = read_price_tables(replace(shop, price_tables=folder), findings)
    return found, [str(fault).partition("finish_products.csv:")[2] for fault in findings.faults]


def only(folder: Path, text: str) -> FinishProduct:
    found, faults = tables(folder, finish_products=text)
    assert faults == []
    (product,) = found.finish_products
    return product


def test_a_whole_row_is_read(tmp_path: Path) -> None:
    product = only(
        tmp_path,
        "product,kind,mixed_with,mix_ratio,thinner,thinner_percent,cleaner,cleaner_percent,touch_dry,recoat_after,"
        "recoat_within,full_cure,source\n"
        "Tarn coat,two-part + solvent-borne,Tarn hardener,4:1,Tarn thinner,10,Tarn thinner,5 %,1 - 2 h,6 h,24 h,7 d,"
        "can label\n",
    )
    assert product.kinds == ("solvent-borne", "two-part")
    assert product.mixture is not None
    assert (product.mixture.hardener, product.mixture.text) == ("Tarn hardener", "4:1")
    assert (product.mixture.base_share, product.mixture.hardener_share) == (Fraction(4, 5), Fraction(1, 5))
    assert [(one.role, one.product, one.percent) for one in product.auxiliaries] == [
        ("thinner", "Tarn thinner", Decimal(10)),
        ("cleaner", "Tarn thinner", Decimal(5)),
    ]
    times = product.dry_times
    shown = [time.text for time in (times.touch_dry, times.recoat_after, times.recoat_within, times.full_cure) if time]
    assert shown == ["1 to 2 h", "6 h", "24 h", "7 d"]
    assert product.source == "can label"


def test_all_columns_but_the_product_may_be_left_out(tmp_path: Path) -> None:
    product = only(tmp_path, "product\nTarn coat\n")
    assert (product.kinds, product.mixture, product.auxiliaries) == ((), None, ())
    assert product.dry_times.recoat_after is None
    assert product.source == "no source given"


def test_without_the_table_nothing_is_known(tmp_path: Path) -> None:
    found, faults = tables(tmp_path)
    assert (found.finish_products, faults) == ((), [])


def test_a_product_is_found_however_it_is_spelt(tmp_path: Path) -> None:
    product = only(tmp_path, "product\nTarn Clear-Coat\n")
    assert product_named("tarn clear  coat", (product,)) is product
    assert product_named("Tarn", (product,)) is None


def test_a_list_with_semicolons_has_decimal_commas(tmp_path: Path) -> None:
    product = only(
        tmp_path,
        "product;mixed_with;mix_ratio;thinner;thinner_percent;touch_dry\nLack;Haerter;2,5:1;Duenner;7,5;0,5 h\n",
    )
    assert product.mixture is not None
    assert product.mixture.base_parts == Fraction(5, 2)
    assert product.auxiliaries[0].percent == Decimal("7.5")
    assert product.dry_times.touch_dry is not None
    assert product.dry_times.touch_dry.text == "0.5 h"


def test_all_faults_are_found_in_one_run(tmp_path: Path) -> None:
    _, faults = tables(
        tmp_path,
        finish_products="product,mixed_with,mix_ratio,thinner,thinner_percent,recoat_after,recoat_within\n"
        "Tarn coat,Tarn hardener,,Tarn thinner,10,,\n"
        "tarn-coat,,,,5,,\n"
        "Brook oil,Brook oil,4:1,,,6 h,4 h\n",
    )
    assert faults == [
        '3: product: "tarn-coat" stands here again; keep this row or line 2',
        "2: mix_ratio: is missing beside mixed_with; fill it in, or leave both blank",
        "3: thinner: is missing beside thinner_percent; fill it in, or leave both blank",
        '4: mixed_with: "Brook oil" is the product itself; write the name of the other one',
        "4: recoat_within: 4 h is over before recoat_after, 6 h; write a longer time here",
    ]


@pytest.mark.parametrize(
    ("text", "low", "high", "shown"),
    [
        ("30 min", Fraction(1, 2), Fraction(1, 2), "30 min"),
        ("6 h", 6, 6, "6 h"),
        ("1 d", 24, 24, "1 d"),
        ("1 - 2 h", 1, 2, "1 to 2 h"),
        ("1–2 hours", 1, 2, "1 to 2 hours"),
        ("30 min to 2 h", Fraction(1, 2), 2, "30 min to 2 h"),
        ("1.5 H", Fraction(3, 2), Fraction(3, 2), "1.5 h"),
        ("2 weeks", 336, 336, "2 weeks"),
    ],
)
def test_times_are_read(text: str, low: Fraction, high: Fraction, shown: str) -> None:
    found = parse_duration(text)
    assert (found.low_hours, found.high_hours, found.text) == (low, high, shown)


@pytest.mark.parametrize(
    "text", ["6", "h", "6 moons", "2 - 1 h", "1 d - 2 h", "0 h", "2 years", "6:00", "1 - 2", "-3 h"]
)
def test_what_is_no_time_is_refused_with_a_remedy(text: str) -> None:
    with pytest.raises(ValueError, match="; write"):
        parse_duration(text)


def test_the_wait_that_the_wood_handbook_prints_reads_as_what_it_is() -> None:
    # USDA FPL Wood Handbook GTR-190 ch. 16: the second coat of a stain goes on 20 to 60 minutes after the first.
    with (TESTS / "reference" / "coating.csv").open(encoding="utf-8", newline="") as file:
        (row,) = [row for row in csv.DictReader(file) if row["id"] == "stain_wet_on_wet_wait"]
    found = parse_duration(f"{row['expected_low']} - {row['expected_high']} {row['expected_unit']}")
    assert (found.low_hours, found.high_hours) == (Fraction(1, 3), Fraction(1))


@pytest.mark.parametrize(
    ("text", "parts"), [("4:1", (4, 1)), ("4 : 1", (4, 1)), ("2.5:1", (Fraction(5, 2), 1)), ("04:01", (4, 1))]
)
def test_ratios_are_read_even_as_a_spreadsheet_rewrites_them(text: str, parts: tuple[Fraction, Fraction]) -> None:
    assert parse_ratio(text) == parts


@pytest.mark.parametrize("text", ["4", "4/1", "4:0", "0:1", "04:01:00", "4:1 by weight", "5000:1", "-4:1"])
def test_what_is_no_ratio_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"4:1|not a number"):
        parse_ratio(text)


def test_kinds_are_read_in_any_order_and_spelling() -> None:
    assert parse_kinds("Solvent borne + drying-oil") == ("drying oil", "solvent-borne")
    with pytest.raises(ValueError, match=r'"waterborn" is no kind of finish \(did you mean "water-borne"\?\); write'):
        parse_kinds("drying oil + waterborn")


def test_a_set_holds_base_and_hardener() -> None:
    assert parse_cans("1 gal + 1 qt") == (Fraction(1), Fraction(1, 4))
    assert parse_cans("1 gal") == (Fraction(1), Fraction(0))
    # A US gallon is 3.785411784 L (GNU Units 3.22).
    assert parse_cans("3.785411784 L+946.352946 ml") == (Fraction(1), Fraction(1, 4))
    with pytest.raises(ValueError, match="more than two parts; write base and hardener"):
        parse_cans("1 gal + 1 qt + 1 pt")
    with pytest.raises(ValueError, match='"1 bucket" is not a container'):
        parse_cans("1 gal + 1 bucket")


@given(minutes=st.integers(1, 60), hours=st.integers(2, 47), days=st.integers(2, 300))
def test_a_time_is_the_same_in_every_unit(minutes: int, hours: int, days: int) -> None:
    assert parse_duration(f"{minutes * 60} min").low_hours == parse_duration(f"{minutes} h").low_hours
    assert parse_duration(f"{days} d").low_hours == parse_duration(f"{days * 24} h").low_hours
    assert parse_duration(f"{hours * 60} min - {days} d").text == f"{hours * 60} min to {days} d"
