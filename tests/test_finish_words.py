from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Findings, Origin
from estimator.finish_words import auxiliary_text, dry_times_text, hours_text, waiting_texts
from estimator.reading.finish_products import Auxiliary, DryTimes, FinishProduct, parse_duration
from estimator.reading.order import Order, read_order
from estimator.reading.trade_units import SpreadRange
from estimator.solid import Surfaces
from estimator.takeoff.auxiliaries import auxiliary_uses
from estimator.takeoff.take_off import take_off

STAIN = "Millrace oil stain, driftwood"


@cache
def tearoom() -> Order:
    return read_order(Path(__file__).parents[1] / "examples" / "riverside_tearoom", today=date(2026, 11, 24))


def label(*auxiliaries: Auxiliary, **times: str) -> FinishProduct:
    return FinishProduct(
        origin=Origin(file="finish_products.csv", line=2),
        product=STAIN,
        kinds=(),
        mixture=None,
        auxiliaries=auxiliaries,
        dry_times=DryTimes(**{name: parse_duration(text) for name, text in times.items()}),
        source="label",
    )


def test_dry_times_are_said_in_one_sentence() -> None:
    whole = label(touch_dry="1 - 2 h", recoat_after="6 h", recoat_within="24 h", full_cure="7 d")
    assert dry_times_text(whole) == "touch dry 1 to 2 h, next coat after 6 h and within 24 h, full cure 7 d (label)"


@pytest.mark.parametrize(
    ("times", "said"),
    [
        ({}, ""),
        ({"full_cure": "7 d"}, "full cure 7 d (label)"),
        ({"recoat_within": "1 d"}, "next coat within 1 d (label)"),
        ({"touch_dry": "30 min", "recoat_after": "2 h"}, "touch dry 30 min, next coat after 2 h (label)"),
    ],
)
def test_what_the_label_does_not_say_is_left_out(times: dict[str, str], said: str) -> None:
    assert dry_times_text(label(**times)) == said


def test_without_a_label_nothing_is_said() -> None:
    assert dry_times_text(None) == ""
    unlabelled = replace(tearoom(), prices=replace(tearoom().prices, finish_products=()))
    assert waiting_texts(unlabelled) == []


def test_the_waiting_is_no_promise() -> None:
    # Two coats on the chair and on the table: one wait of 16 h each.
    order = replace(tearoom(), prices=replace(tearoom().prices, finish_products=(label(recoat_after="16 h"),)))
    assert waiting_texts(order) == [
        "Terrace chair: at least 16 h of waiting between the first coat and the last.",
        "Side table: at least 16 h of waiting between the first coat and the last.",
        "A help for the schedule, no promise: cold and damp lengthen it. Follow the label.",
    ]


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (Fraction(1, 3), "20 min"),
        (Fraction(1), "1 h"),
        (Fraction(5, 2), "2.5 h"),
        (Fraction(24), "24 h"),
        (Fraction(72), "3 d"),
        (Fraction(73), "73 h"),
    ],
)
def test_times_are_said_as_one_speaks_of_them(hours: Fraction, said: str) -> None:
    assert hours_text(hours) == said


@pytest.mark.parametrize(
    ("product", "percent", "said"),
    [
        ("Brook spirit", "10", "Thinner: Brook spirit, 10 % of the product, 0.40 gal (label)."),
        ("Brook spirit", "0", "Thinner: Brook spirit, as needed (label)."),
        ("Water", "5", "Thinner: Water, 5 % of the product, 0.20 gal (from the tap)."),
    ],
)
def test_what_goes_with_a_product_is_said_with_its_amount(product: str, percent: str, said: str) -> None:
    # 100 ft2 at 25 ft2/gal take 4 gal: 10 percent are 0.40, 5 percent 0.20.
    known = label(Auxiliary(role="thinner", product=product, percent=Decimal(percent)))
    (need,) = take_off(tearoom(), Findings()).order.finish
    coat = replace(
        need.coats[0],
        area=Surfaces(faces_ft2=100.0, edges_ft2=0.0, ends_ft2=0.0),
        spread=SpreadRange(low_ft2_per_gal=Fraction(25), high_ft2_per_gal=Fraction(25)),
        loss_percent=Decimal(0),
    )
    (use,) = auxiliary_uses(replace(need, coats=(coat,), label=known))
    assert auxiliary_text(tearoom(), use) == said
