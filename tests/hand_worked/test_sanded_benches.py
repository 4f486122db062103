"""Three benches and a shelf, sanded: worked out by hand from the lists in sanded_benches/, face by face.

Every figure stands here as a pocket calculator gives it; the lines above each say where it comes from.
"""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

from estimator.buying.packed import ConsumablePurchase
from estimator.costing.bill import BillLine
from estimator.estimate import Estimate, estimate
from estimator.reading.order import read_order
from estimator.takeoff.sanding import SandedArea

ORDER = Path(__file__).parent / "sanded_benches"


@cache
def benches() -> Estimate:
    return estimate(read_order(ORDER, today=date(2026, 3, 2)))


def sanded(build: str, grit: int) -> SandedArea:
    (found,) = [one for one in benches().takeoff.order.sanded if (one.build, one.grit.grit) == (build, grit)]
    return found


def bought(item: str) -> ConsumablePurchase:
    (found,) = [one for one in benches().buy_sheet.consumables if one.title == item]
    return found


def billed(item: str) -> BillLine:
    (found,) = [line for line in benches().bill if line.bought.item.startswith(item)]
    return found


def test_before_the_finish_whole_surfaces_are_sanded() -> None:
    # Seat 36 x 11 1/4 x 1 1/2: faces 2 x 405 = 810, edges 2 x 54 = 108, ends 2 x 16.875 = 33.75 in2.
    # Two legs 16 x 11 1/4 x 1 1/2: faces 2 x 360 = 720, edges 2 x 48 = 96, ends 2 x 33.75 = 67.5.
    # Stretcher 30 x 3 1/2 x 1 1/2: faces 210, edges 90, ends 10.5.
    # Together 1740, 294, 111.75; / 144 = 12.08333, 2.041667, 0.776042 ft2. Three benches, of a bench to four decimals.
    for grit in (80, 120):
        bench = sanded("Bench", grit)
        assert bench.faces == 3 * Decimal("12.0833")
        assert bench.edges == 3 * Decimal("2.0417")
        assert bench.ends == 3 * Decimal("0.7760")
        # 36.2499 + 6.1251 + 2.3280; edges and ends count 1.5 times: 36.2499 + 1.5 x 8.4531.
        assert bench.area == Decimal("44.7030")
        assert bench.counted == Decimal("48.92955")
    # Both faces of the shelf, 2 x 24 x 7.25 = 348 in2 = 2.416667 ft2, though none of it is coated.
    assert (sanded("Shelf", 120).area, sanded("Shelf", 120).counted) == (Decimal("2.4167"), Decimal("2.4167"))


def test_between_coats_a_side_is_sanded_once_for_each_coat_after_its_first() -> None:
    # Legs and stretcher have three coats, so they are sanded twice. The face of the seat that shows has a fourth coat
    # and is sanded three times, the other one twice. What joints hide is not coated: the benches stand when they are.
    # Seat: a face (810 - 33.75) / 2 = 388.125, x (3 + 2) = 1940.625; edges 2 x 108 = 216; ends 2 x 33.75 = 67.5.
    # Legs: faces 2 x 2 x (360 - 5.25) = 1419; edges 2 x 96 = 192; ends 2 x 2 x (33.75 - 16.875) = 67.5.
    # Stretcher: faces 2 x 210 = 420; edges 2 x 90 = 180; ends 2 x (10.5 - 10.5) = 0.
    # Together 3779.625, 588, 135 in2; / 144 = 26.247396, 4.083333, 0.9375 ft2.
    bench = sanded("Bench", 220)
    assert (bench.faces, bench.edges, bench.ends) == (
        3 * Decimal("26.2474"),
        3 * Decimal("4.0833"),
        3 * Decimal("0.9375"),
    )
    # 78.7422 + 12.2499 + 2.8125; 78.7422 + 1.5 x 15.0624.
    assert (bench.area, bench.counted) == (Decimal("93.8046"), Decimal("101.3358"))


def test_minutes_and_what_they_cost() -> None:
    lines = {(line.scope, line.operation.name): line for line in benches().labour}
    # 48.92955 x 0.5 = 24.464775, x 0.4 = 19.57182, 101.3358 x 0.2 = 20.26716, 2.4167 x 0.4 = 0.96668; a Helper has
    # 24.00 an hour, 0.40 a minute.
    wanted = {
        ("Bench", "Sand 80 grit, before finish"): ("24.46", "9.78"),
        ("Bench", "Sand 120 grit, before finish"): ("19.57", "7.83"),
        ("Bench", "Sand 220 grit, between coats"): ("20.27", "8.11"),
        ("Shelf", "Sand 120 grit, before finish"): ("0.97", "0.39"),
    }
    assert {key: (str(lines[key].minutes), str(lines[key].amount)) for key in wanted} == wanted
    # Fetching the lumber, 24.00: the benches have 3 x 30 + 24.46 + 19.57 + 20.27 = 154.30 minutes of their own, the
    # shelf 20.97; 154.30 / 175.27 = 0.880356; 21.13 and 2.87.
    fetched = lines["whole order", "Fetch lumber"]
    assert fetched.shares == (Decimal("0.880356"), Decimal("0.119644"))
    assert fetched.by_build == (Decimal("21.13"), Decimal("2.87"))
    # 54.00 + 9.78 + 7.83 + 8.11 + 21.13, and 12.00 + 0.39 + 2.87.
    assert [cost.by_kind["labour"] for cost in benches().quote.costs] == [Decimal("100.85"), Decimal("15.26")]


def test_discs_are_bought_for_the_whole_order_and_with_what_the_lists_ask_of_them() -> None:
    # 44.7030 / 6 = 7.4505, and 3 x 0.25 from consumables.csv: 8.2005, two packs of five at 4.50.
    coarse = bought("Sanding disc, 80 grit")
    assert (coarse.need.quantity, coarse.content) == (Decimal("8.2005"), Decimal(10))
    # (44.7030 + 2.4167) / 8 = 5.8899625: two packs again. The benches' share 5.587875 of it, in four decimals 5.5879 of
    # 5.8900; / 5.8900 = 0.948710; x 9.00 = 8.538.
    assert bought("Sanding disc, 120 grit").need.by_build == (
        ("Bench", Decimal("5.5879")),
        ("Shelf", Decimal("0.3021")),
    )
    assert billed("Sanding disc, 120 grit").by_build == (Decimal("8.54"), Decimal("0.46"))
    # 93.8046 / 10 = 9.38046 sheets, one pack of ten.
    assert bought("Sanding sheet, 220 grit").need.quantity == Decimal("9.3805")
    assert bought("Sanding sheet, 220 grit").amount == Decimal("6.20")


def test_what_the_shop_uses_on_the_order_is_borne_as_the_work_on_it_is() -> None:
    # A foam brush a coat: the benches have 3 + 1 coats, the shelf none. 4 x 1.15 = 4.60; x 0.880356 = 4.0496.
    assert billed("Foam brush").by_build == (Decimal("4.05"), Decimal("0.55"))
    # Gloves: 3 for the benches and 4 for the order, seven of a pack of ten at 3.10. The benches bear 3/7 + 4/7 x
    # 0.880356 = 0.931632: 2.888.
    gloves = bought("Nitrile gloves")
    assert (gloves.need.quantity, gloves.need.shop_amount, gloves.by_build) == (
        Decimal(7),
        Decimal(4),
        (("Bench", Fraction(3, 7)),),
    )
    assert billed("Nitrile gloves").shares == (Decimal("0.931632"), Decimal("0.068368"))
    assert billed("Nitrile gloves").by_build == (Decimal("2.89"), Decimal("0.21"))
    assert benches().notices == ()
