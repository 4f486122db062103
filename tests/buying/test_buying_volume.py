import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import ceil
from pathlib import Path

import pytest

from estimator.buying.volume import VolumePurchase, buy_volume, grade_yield
from estimator.errors import Findings
from estimator.reading.cutting_settings import RandomLumber
from estimator.reading.order import Order, read_order
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.reading.trade_units import parse_per
from estimator.solid import Shape
from estimator.standards.sections import parse_section
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import MM_PER_IN

TESTS = Path(__file__).parents[1]


def published_grades() -> list[dict[str, str]]:
    with (TESTS / "reference" / "hardwood_grade_yields.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


@cache
def stands() -> Order:
    return read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def shop_of(
    *,
    extra_length: Fraction = Fraction(1),
    extra_width: Fraction = Fraction(1, 4),
    yields: dict[str, Decimal] | None = None,
) -> Shop:
    allowances = RandomLumber(extra_length_in=extra_length, extra_width_in=extra_width, yield_percent=yields or {})
    return replace(stands().shop, random_lumber=allowances)


def need_of(section: str, grade: str, *pieces: tuple[Fraction, Fraction, int]) -> LumberNeed:
    """A need of pieces by length, width and number."""
    size = parse_section(section)
    part = stands().items[0].build.parts[0]
    return LumberNeed(
        species="white oak",
        grade=grade,
        section=size,
        pieces=tuple(
            PieceNeed(
                build=f"Build {place}",
                unit="in",
                part=replace(part, shape=Shape(length_in=length, width_in=width, thickness_in=size.thickness_in)),
                quantity=number,
                blank_length_in=length,
                blank_width_in=width,
                strips=1,
            )
            for place, (length, width, number) in enumerate(pieces)
        ),
    )


def row_of(section: str, grade: str, price: str, per: str, supplier: str = "Hollow Yard") -> LumberPrice:
    return replace(
        stands().prices.lumber[0],
        species="white oak",
        grade=grade,
        section=parse_section(section),
        length_in=None,
        price=Decimal(price),
        per=per,
        pricing=parse_per(per),
        supplier=supplier,
    )


def bought(need: LumberNeed, *rows: LumberPrice, shop: Shop | None = None) -> VolumePurchase:
    findings = Findings()
    purchase = buy_volume(need, rows, shop or shop_of(), findings)
    assert purchase is not None
    assert findings.faults == []
    return purchase


@pytest.mark.parametrize("grade", published_grades(), ids=lambda row: row["grade"])
def test_the_yield_of_a_grade_is_what_the_nhla_chart_promises(grade: dict[str, str]) -> None:
    # Ten pieces 3 ft x 6 in of 8/4, sawn 1 in longer and 1/4 in wider: 2 x 6 1/4 x 37 / 144 x 10 = 32.118 board feet.
    # Clear yield of the grade by the chart of the NHLA rules: SM x 10 of 12 for FAS is 83.3333 percent, and so on.
    purchase = bought(
        need_of("8/4", grade["grade"], (Fraction(36), Fraction(6), 10)), row_of("8/4", grade["grade"], "10.00", "bf")
    )
    assert float(purchase.rough_measure) == pytest.approx(32.118, abs=0.001)
    assert float(purchase.yield_percent) == pytest.approx(float(grade["min_clear_yield_percent"]), abs=0.0001)
    wanted = 32.118 / (float(grade["min_clear_yield_percent"]) / 100)
    assert purchase.lines[0].quantity == ceil(wanted)
    assert purchase.amount == 10 * ceil(wanted)
    assert purchase.used_share == 1


def test_a_shop_that_knows_its_yield_uses_it() -> None:
    # Two parts of 4/4, nothing extra: 4 of 24 x 6 in = 4 board feet, 6 of 16 x 3 in = 2. At 60 percent 10 board feet.
    need = need_of("4/4", "No. 1 Common", (Fraction(24), Fraction(6), 4), (Fraction(16), Fraction(3), 6))
    shop = shop_of(extra_length=Fraction(0), extra_width=Fraction(0), yields={"no. 1 common": Decimal(60)})
    purchase = bought(need, row_of("4/4", "No. 1 Common", "6.80", "bf"), shop=shop)
    (line,) = purchase.lines
    assert (line.quantity, line.amount) == (Decimal(10), Decimal("68.00"))
    assert purchase.yield_source == "shop setting"
    assert dict(purchase.by_build) == {"Build 0": Fraction(2, 3), "Build 1": Fraction(1, 3)}


def test_a_price_per_thousand_is_for_thousandths() -> None:
    # 6 board feet at FAS: 6 x 12 / 10 = 7.2, so 8 board feet, or 0.008 of a thousand at 9500: 76.00.
    need = need_of("4/4", "FAS", (Fraction(24), Fraction(6), 6))
    shop = shop_of(extra_length=Fraction(0), extra_width=Fraction(0))
    assert bought(need, row_of("4/4", "FAS", "9.50", "bf"), shop=shop).amount == Decimal("76.00")
    (line,) = bought(need, row_of("4/4", "FAS", "9500", "MBF"), shop=shop).lines
    assert (line.quantity, line.unit, line.amount) == (Decimal("0.008"), "MBF", Decimal("76.00"))


def test_cubic_metres_are_counted_to_the_litre() -> None:
    # 52 mm thick, ten pieces 1 m x 200 mm, sawn 50 mm longer and 10 mm wider: 0.052 x 0.21 x 1.05 x 10 = 0.11466 m3;
    # at 50 percent 0.22932, so 0.230 m3 at 1,800 are 414.00.
    need = need_of("52 mm", "A", (1000 / MM_PER_IN, 200 / MM_PER_IN, 10))
    shop = shop_of(extra_length=50 / MM_PER_IN, extra_width=10 / MM_PER_IN, yields={"a": Decimal(50)})
    (line,) = bought(need, row_of("52 mm", "A", "1800", "m3"), shop=shop).lines
    assert (line.quantity, line.amount) == (Decimal("0.230"), Decimal("414.00"))


def test_boards_of_a_fixed_width_count_with_all_of_it() -> None:
    # 8/4x6 in random lengths, a part ripped to 2 1/2 in takes the whole 6 in: 2 x 6 x 36 / 144 = 3 board feet each.
    shop = shop_of(extra_length=Fraction(0), yields={"fas": Decimal(100)})
    purchase = bought(
        need_of("8/4x6", "FAS", (Fraction(36), Fraction(5, 2), 4)), row_of("8/4x6", "FAS", "8.00", "bf"), shop=shop
    )
    assert purchase.lines[0].quantity == 12


def test_the_cheapest_offer_is_taken() -> None:
    need = need_of("4/4", "FAS", (Fraction(24), Fraction(6), 6))
    near, far = row_of("4/4", "FAS", "9.50", "bf"), row_of("4/4", "FAS", "9.10", "bf", supplier="Far Yard")
    assert bought(need, near, far).row == far


def test_a_grade_that_nobody_knows_is_a_fault() -> None:
    findings = Findings()
    need = need_of("4/4", "Cottage", (Fraction(24), Fraction(6), 6))
    assert buy_volume(need, (row_of("4/4", "Cottage", "9.50", "bf"),), shop_of(), findings) is None
    (fault,) = findings.faults
    assert "write the grade's yield under [yield_percent]" in str(fault)


def test_without_a_grade_in_the_parts_the_tables_grade_counts() -> None:
    need = need_of("4/4", "", (Fraction(24), Fraction(6), 6))
    assert bought(need, row_of("4/4", "FAS", "9.50", "bf")).yield_percent == Fraction(250, 3)


def test_a_shops_yield_goes_by_the_name_of_the_grade() -> None:
    settings = shop_of(yields={"select": Decimal(70)}).random_lumber
    assert grade_yield("Select", settings) == (Fraction(70), "shop setting")
    published = grade_yield("No. 2A Common", settings)
    assert published is not None
    assert published[0] == 50
