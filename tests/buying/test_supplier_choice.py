"""Where an order of boards and screws is bought: by hand, against all ways there are, and by laws that must hold."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from estimator.buying.buy import BuySheet, buy
from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.build import ConsumableUse
from estimator.reading.order import Order, read_order
from estimator.reading.parts import Part
from estimator.reading.sold import ConsumablePrice, HardwarePrice, LumberPrice
from estimator.reading.suppliers import WAYS_TO_CHOOSE, Supplier, SupplierChoice
from estimator.solid import Shape
from estimator.standards.sections import parse_section
from estimator.supplier_words import supplier_sentences
from estimator.takeoff.take_off import take_off
from estimator.wording import claim_text, left_over_rows, plan_text

DOLLARS = Currency(code="USD")
PriceList = tuple[tuple[int, int], ...]  # from how many on, cents for each


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def boards(supplier: str, section: str, length: int, *prices: tuple[int, int]) -> list[LumberPrice]:
    row = replace(stands().prices.lumber[0], supplier=supplier, grade="", section=parse_section(section))
    return [
        replace(row, length_in=Fraction(length), price=Decimal(cents) / 100, from_quantity=least)
        for least, cents in prices
    ]


def screws(supplier: str, pack: int, *prices: tuple[int, int]) -> list[HardwarePrice]:
    row = replace(stands().prices.hardware[0], supplier=supplier, pack=pack)
    return [replace(row, price=Decimal(cents) / 100, from_quantity=least) for least, cents in prices]


def supplier(name: str, visit: int = 0, least: int = 0) -> Supplier:
    return Supplier(
        origin=Origin(file="suppliers.toml", line=1),
        name=name,
        visit_cost=Decimal(visit) / 100,
        minimum_order=Decimal(least) / 100,
        currency=DOLLARS,
        rate=Decimal(1),
        rate_day=None,
        tax_included_percent=Decimal(0),
        discount_percent=Decimal(0),
    )


def parts_of(section: str, *lengths: int) -> list[Part]:
    row = stands().items[0].build.parts[0]
    board = parse_section(section)
    shape = Shape(length_in=Fraction(1), width_in=board.width_in or Fraction(1), thickness_in=board.thickness_in)
    return [
        replace(row, name=f"Rail {place}", section=board, quantity=1, shape=replace(shape, length_in=Fraction(length)))
        for place, length in enumerate(lengths)
    ]


def order_of(
    parts: Iterable[Part],
    lumber: Iterable[LumberPrice],
    hardware: Iterable[HardwarePrice] = (),
    wanted_screws: int = 0,
    suppliers: Iterable[Supplier] = (),
    choice: SupplierChoice | None = None,
) -> Order:
    """One build, kerf and trim of nothing, no spares; a screw is wanted so many times."""
    order = stands()
    build = order.items[0].build
    uses = (replace(build.hardware[0], joints=1, each=wanted_screws),) if wanted_screws else ()
    build = replace(build, parts=tuple(parts), hardware=uses, finish=(), consumables=(), labour=())
    saw = replace(order.shop.saw, kerf_in=Fraction(0), rip_kerf_in=Fraction(0), end_trim_in=Fraction(0))
    return replace(
        order,
        items=(replace(order.items[0], build=build, quantity=1),),
        shop=replace(
            order.shop,
            saw=saw,
            spares=replace(order.shop.spares, percent=Decimal(0), at_least=0),
            supplier_choice=choice or order.shop.supplier_choice,
        ),
        prices=replace(
            order.prices, lumber=tuple(lumber), hardware=tuple(hardware), suppliers=tuple(suppliers), consumables=()
        ),
    )


def sheet_of(order: Order) -> BuySheet:
    findings = Findings()
    sheet = buy(order, take_off(order, findings), findings)
    assert findings.faults == []
    return sheet


def cents(amount: Decimal) -> int:
    return int(amount * 100)


def bought(sheet: BuySheet) -> list[tuple[str, str, int, int]]:
    """Supplier, item, number and cents of each line."""
    return [
        (line.row.supplier, line.item, int(line.quantity), cents(line.amount))
        for purchase in sheet.purchases
        for line in purchase.lines
    ]


# Two yards. A job of three rails of 2x4, 40 in, and two of 1x4, 40 in; a board of 8 ft gives two.
RAILS = [*parts_of("2x4", 40, 40, 40), *parts_of("1x4", 40, 40)]
YARDS = [
    *boards("Alder", "2x4", 96, (1, 1000)),
    *boards("Alder", "1x4", 96, (1, 800)),
    *boards("Birch", "2x4", 96, (1, 1100)),
    *boards("Birch", "1x4", 96, (1, 500)),
]


def test_the_second_yard_is_worth_the_trip_or_it_is_not() -> None:
    # Boards: two of 2x4 and one of 1x4. Alder 20.00 + 8.00, Birch 22.00 + 5.00, the cheaper of each 25.00.
    # Visits of 1.00: 27.00 for both, 28.00 for Birch alone (Alder alone 29.00). Visits of 2.50: 30.00, 29.50, 30.50.
    near = sheet_of(order_of(RAILS, YARDS, suppliers=[supplier("Alder", 100), supplier("Birch", 100)]))
    assert bought(near) == [
        ("Alder", "western redcedar 2x4, 8 ft", 2, 2000),
        ("Birch", "western redcedar 1x4, 8 ft", 1, 500),
        ("Alder", "Delivery or visit: Alder", 1, 100),
        ("Birch", "Delivery or visit: Birch", 1, 100),
    ]
    plan = near.supplier_plan
    assert plan is not None
    assert (plan.names, plan.proved) == (("Alder", "Birch"), True)
    assert plan.fewer is not None
    assert (plan.fewer.names, plan.fewer.costs_more) == (("Birch",), Decimal("1.00"))
    assert (plan.unvisited, plan.more) == (0, None)
    far = sheet_of(order_of(RAILS, YARDS, suppliers=[supplier("Alder", 250), supplier("Birch", 250)]))
    assert far.supplier_plan is not None
    assert (far.supplier_plan.names, cents(far.amount), cents(far.delivery_amount)) == (("Birch",), 2950, 250)
    # Alder as well: the goods 2.00 less, for a visit of 2.50.
    more = far.supplier_plan.more
    assert more is not None
    assert (more.name, more.beside_more, more.goods_less) == ("Alder", Decimal("2.50"), Decimal("2.00"))


def test_a_minimum_order_is_paid_up_to() -> None:
    # Only Birch has boards, two for 22.00, and sells for 30.00 at the least: 8.00 more are paid.
    order = order_of(
        parts_of("2x4", 40, 40, 40), boards("Birch", "2x4", 96, (1, 1100)), suppliers=[supplier("Birch", 0, 3000)]
    )
    sheet = sheet_of(order)
    assert bought(sheet)[-1] == ("Birch", "Up to the minimum order of $30.00: Birch", 1, 800)
    assert sheet.supplier_plan is not None
    assert (cents(sheet.amount), cents(sheet.supplier_plan.gap)) == (3000, 0)


def test_where_a_minimum_order_is_reached_by_dearer_boards_they_are_planned_by_the_shops_preferences() -> None:
    # 2x4 are 20.00 at Alder's and 22.00 at Birch's, where 1x4 are 5.00 and the minimum is 26.00: all at Birch's 27.00,
    # else 20.00 + 26.00.
    order = order_of(RAILS, YARDS, suppliers=[supplier("Birch", 0, 2600)])
    sheet = sheet_of(order)
    assert (cents(sheet.amount), {line[0] for line in bought(sheet)}) == (2700, {"Birch"})
    assert sheet.supplier_plan is not None
    assert sheet.supplier_plan.top_ups == {}


TWO_BOARDS = [*parts_of("2x4", 90, 45), *parts_of("1x4", 40)]
SPLIT_YARDS = [
    *boards("Alder", "2x4", 96, (1, 1000)),
    *boards("Alder", "2x4", 48, (1, 400)),
    *boards("Birch", "2x4", 96, (1, 1100)),
    *boards("Birch", "2x4", 48, (1, 600)),
    *boards("Birch", "1x4", 96, (1, 500)),
]


def test_some_of_the_boards_of_a_section_reach_a_minimum_order() -> None:
    # 1x4 are sold at Birch's alone, 5.00 of a minimum of 10.00. The 2x4: all at Alder's 14.00 and 5.00 to top up, 24.00
    # in all; all at Birch's 17.00, 22.00 in all; the short one at Birch's 16.00, 21.00; the long one 15.00, 20.00.
    order = order_of(TWO_BOARDS, SPLIT_YARDS, suppliers=[supplier("Birch", 0, 1000)])
    sheet = sheet_of(order)
    assert bought(sheet) == [
        ("Alder", "western redcedar 2x4, 4 ft", 1, 400),
        ("Birch", "western redcedar 2x4, 8 ft", 1, 1100),
        ("Birch", "western redcedar 1x4, 8 ft", 1, 500),
    ]
    wide = next(one for one in sheet.boards if "2x4" in one.title)
    assert (cents(wide.bound), wide.proved, cents(wide.saved_by_nesting)) == (1400, False, 0)
    assert claim_text(order, wide) == (
        "$15.00, at most $1.00 above the cheapest possible, bought so as to reach a minimum order"
    )
    assert {layout.unit_price for layout in wide.layouts} == {Decimal(4), Decimal(11)}


def test_boards_bought_elsewhere_to_reach_a_minimum_order_are_called_the_cheapest_there_alone() -> None:
    # 2x4 are 20.00 at Alder's, which is visited for 2x6, and 22.00 at Birch's, where 1x4 are 5.00 of at least 26.00.
    lumber = [*YARDS, *boards("Alder", "2x6", 96, (1, 3000))]
    order = order_of([*RAILS, *parts_of("2x6", 90)], lumber, suppliers=[supplier("Birch", 0, 2600)])
    sheet = sheet_of(order)
    assert cents(sheet.amount) == 3000 + 2200 + 500
    said = {one.title[-3:]: claim_text(order, one) for one in sheet.boards}
    assert said["2x4"] == "$22.00, the cheapest possible from Birch, bought there to reach a minimum order"
    assert said["2x6"] == "$30.00, the cheapest possible from the suppliers visited"


def test_boards_from_the_preferred_yard_are_called_the_cheapest_there_alone() -> None:
    # Cedar, visited for 1x4, has 2x4 for less.
    lumber = [
        *boards("Alder", "2x4", 96, (1, 1000)),
        *boards("Cedar", "2x4", 96, (1, 200)),
        *boards("Cedar", "1x4", 96, (1, 500)),
    ]
    order = order_of(RAILS, lumber, suppliers=[supplier("Cedar", 100)], choice=choosing("prefer", "Alder"))
    said = [claim_text(order, one) for one in sheet_of(order).boards]
    assert "$20.00, the cheapest possible from Alder, the preferred supplier" in said
    assert "$5.00, the cheapest possible from the suppliers visited" in said


def test_packs_of_prices_with_parts_of_a_cent_are_the_cheapest_but_for_rounding() -> None:
    packs = [*screws("Alder", 5, (1, 200)), *screws("Birch", 2, (1, 90))]
    whole = order_of(RAILS, YARDS, packs, 10, [supplier("Alder", 100)])
    parts = replace(packs[1], price=Decimal("0.905"))
    odd = order_of(RAILS, YARDS, [packs[0], parts], 10, [supplier("Alder", 100)])
    assert "No choice of suppliers is cheaper." in supplier_sentences(whole, sheet_of(whole))
    assert "No choice of suppliers is cheaper by more than rounding." in supplier_sentences(odd, sheet_of(odd))
    plan = sheet_of(odd).supplier_plan
    assert plan is not None
    assert (cents(plan.gap), plan.proved) == (0, False)


def test_boards_of_a_price_break_are_bought_though_nothing_is_cut_from_one_of_them() -> None:
    # Three boards at 10.00 are 30.00, four at 7.00 are 28.00.
    order = order_of(parts_of("2x4", 90, 90, 90), boards("Alder", "2x4", 96, (1, 1000), (4, 700)))
    sheet = sheet_of(order)
    (purchase,) = sheet.boards
    assert (cents(purchase.amount), purchase.proved, purchase.boards) == (2800, True, 4)
    assert [(one.boards, one.offer.unit_price) for one in purchase.surplus] == [(1, Decimal(7))]
    assert purchase.used_share == Fraction(3, 4)
    assert "becomes parts. 1 board of 8 ft is left whole: from 4 on they cost less." in plan_text(order, purchase)
    assert ("western redcedar 2x4, 8 ft", "1 board") in left_over_rows(order, sheet)
    assert {layout.unit_price for layout in purchase.layouts} == {Decimal(7)}


def test_a_spare_board_may_be_what_makes_the_others_cheaper() -> None:
    # Three boards at 10.00; with a spare one there are four at 7.50: it costs nothing, 30.00 in all.
    order = order_of(parts_of("2x4", 90, 90, 90), boards("Alder", "2x4", 96, (1, 1000), (4, 750)))
    order = replace(order, shop=replace(order.shop, saw=replace(order.shop.saw, spare_boards_at_least=1)))
    (purchase,) = sheet_of(order).boards
    assert (cents(purchase.amount), cents(purchase.planned_amount), purchase.proved) == (3000, 3000, True)
    assert purchase.spares is not None
    assert (purchase.spares.boards, cents(purchase.spares.amount), purchase.surplus) == (1, 0, ())


def test_lumber_by_volume_may_be_cheaper_in_a_larger_quantity() -> None:
    rows = [
        replace(row, length_in=None, per="bf", pricing=replace(row.pricing, basis="board foot"))
        for row in boards("Alder", "2x4", 96, (1, 500), (20, 300))
    ]
    shop = stands().shop
    order = order_of(parts_of("2x4", *[60] * 4), rows)
    order = replace(
        order,
        shop=replace(order.shop, random_lumber=replace(shop.random_lumber, yield_percent={"": Decimal(100)})),
    )
    # Four of 61 in at 2 x 4 / 12 board feet a foot: 13.56, so 14. At 5.00 that is 70.00, 20 at 3.00 are 60.00.
    (purchase,) = sheet_of(order).volumes
    assert (int(purchase.lines[0].quantity), cents(purchase.amount)) == (20, 6000)
    assert purchase.used_share == Fraction(14, 20)


def choosing(choose: str, preferred: str = "") -> SupplierChoice:
    return SupplierChoice(origin=Origin(file="shop.toml", line=9), choose=choose, preferred=preferred)


def test_one_stop_buys_everything_at_one_yard() -> None:
    sheet = sheet_of(order_of(RAILS, YARDS, choice=choosing("one stop")))
    assert {line[0] for line in bought(sheet)} == {"Birch"}
    assert (cents(sheet.amount), sheet.supplier_plan is not None and sheet.supplier_plan.proved) == (2700, True)


def test_one_stop_says_who_lacks_what() -> None:
    findings = Findings()
    lumber = [*boards("Alder", "2x4", 96, (1, 1000)), *boards("Birch", "1x4", 96, (1, 500)), *YARDS[:0]]
    order = order_of(RAILS, lumber, choice=choosing("one stop"))
    buy(order, take_off(order, Findings()), findings)
    (fault,) = findings.faults
    assert fault.message == (
        'nobody sells everything for this order: Alder lacks 1 of 2 ("western redcedar 1x4"), Birch lacks 1 of 2 '
        '("western redcedar 2x4"); choose "fewest stops", or "cheapest"'
    )
    assert (str(fault.origin), fault.column) == ("shop.toml:9", "choose")


def test_of_many_yards_that_lack_something_those_are_named_that_lack_least() -> None:
    lumber = [row for n in range(6) for row in boards(f"Yard {n}", "2x4", 96, (1, 1000))]
    lumber += [row for n in (2, 4) for row in boards(f"Yard {n}", "2x6", 96, (1, 1000))]
    lumber += boards("Yard 5", "1x4", 96, (1, 500))
    order = order_of([*RAILS, *parts_of("2x6", 40)], lumber, choice=choosing("one stop"))
    findings = Findings()
    buy(order, take_off(order, Findings()), findings)
    (fault,) = findings.faults
    assert fault.message == (
        'nobody sells everything for this order: Yard 2 lacks 1 of 3 ("western redcedar 1x4"), Yard 4 lacks 1 of 3 '
        '("western redcedar 1x4"), Yard 5 lacks 1 of 3 ("western redcedar 2x6"), Yard 0 lacks 2 of 3 '
        '("western redcedar 1x4", "western redcedar 2x6"); 2 more lack as much or more; choose "fewest stops", or '
        '"cheapest"'
    )


def test_the_preferred_yard_gives_what_it_has_and_the_rest_is_bought_where_it_is_cheapest() -> None:
    # Alder has 2x4 for 10.00 (Cedar sells it for 2.00) and no 1x4, which Cedar has for 9.00 and Birch for 5.00; at
    # 6.00 a visit Birch is still the cheaper one, and 2x4 stays with Alder.
    lumber = [
        *boards("Alder", "2x4", 96, (1, 1000)),
        *boards("Birch", "1x4", 96, (1, 500)),
        *boards("Cedar", "1x4", 96, (1, 900)),
        *boards("Cedar", "2x4", 96, (1, 200)),
    ]
    suppliers = [supplier("Alder", 300), supplier("Birch", 100), supplier("Cedar", 600)]
    sheet = sheet_of(order_of(RAILS, lumber, suppliers=suppliers, choice=choosing("prefer", "alder")))
    assert [line[0] for line in bought(sheet)] == ["Alder", "Birch", "Alder", "Birch"]
    assert cents(sheet.amount) == 2000 + 500 + 400
    assert sheet.supplier_plan is not None
    assert sheet.supplier_plan.proved


def with_wax(order: Order, *rows: tuple[str, int]) -> Order:
    """The shop uses a stick of wax for each board; who sells it, and for how many cents."""
    use = ConsumableUse(origin=Origin(file="x"), item="Wax", per="board", amount=Decimal(1), note="")
    sold = [
        ConsumablePrice(
            origin=Origin(file="consumables.csv", line=line),
            supplier=name,
            price=Decimal(cost) / 100,
            day=order.day,
            item="Wax",
            pack=Decimal(1),
            unit="stick",
        )
        for line, (name, cost) in enumerate(rows, 2)
    ]
    return replace(
        order,
        shop=replace(order.shop, consumables=(use,)),
        prices=replace(order.prices, consumables=tuple(sold)),
    )


def test_who_sells_only_what_goes_by_the_boards_is_visited_for_it() -> None:
    # Two boards of 11.00 and two sticks of wax at 0.50; visits of 2.00 and 3.00.
    suppliers = [supplier("Alder", 300), supplier("Birch", 200)]
    order = order_of(parts_of("2x4", 40, 40, 40), boards("Birch", "2x4", 96, (1, 1100)), suppliers=suppliers)
    sheet = sheet_of(with_wax(order, ("Alder", 50)))
    assert sheet.supplier_plan is not None
    assert (sheet.supplier_plan.names, cents(sheet.amount)) == (("Alder", "Birch"), 2200 + 100 + 500)


def test_what_goes_by_the_boards_is_bought_at_the_preferred_yard_too() -> None:
    order = order_of(
        parts_of("2x4", 40, 40, 40), boards("Birch", "2x4", 96, (1, 1100)), choice=choosing("prefer", "Birch")
    )
    sheet = sheet_of(with_wax(order, ("Alder", 50), ("Birch", 70)))
    assert sheet.supplier_plan is not None
    assert (sheet.supplier_plan.names, cents(sheet.amount)) == (("Birch",), 2200 + 140)
    assert supplier_sentences(order, sheet)[2:] == [
        "Without the preference it would cost $23.00, $0.40 less, from Alder and Birch."
    ]


def test_fewest_stops_buys_from_as_few_yards_as_have_everything() -> None:
    # 2x4 at Alder and Birch, 1x4 at Birch and Cedar: Birch alone has all, though Alder and Cedar are cheaper.
    lumber = [
        *boards("Alder", "2x4", 96, (1, 1000)),
        *boards("Birch", "2x4", 96, (1, 1100)),
        *boards("Birch", "1x4", 96, (1, 500)),
        *boards("Cedar", "1x4", 96, (1, 400)),
    ]
    order = order_of(RAILS, lumber, choice=choosing("fewest stops"))
    sheet = sheet_of(order)
    assert (cents(sheet.amount), {line[0] for line in bought(sheet)}) == (2700, {"Birch"})
    assert supplier_sentences(order, sheet) == [
        "Buy from Birch: $27.00.",
        "No single supplier is cheaper.",
        "From any number of suppliers it would cost $24.00, $3.00 less, from Alder and Cedar.",
    ]


def test_prices_missing_are_told_before_anything_is_chosen() -> None:
    findings = Findings()
    order = order_of(RAILS, YARDS[:1], suppliers=[supplier("Alder", 100)], choice=choosing("one stop"))
    buy(order, take_off(order, Findings()), findings)
    assert ["lumber.csv has no price for western redcedar 1x4" in str(fault) for fault in findings.faults] == [True]


def test_an_old_rate_is_noticed_like_an_old_price() -> None:
    euros = replace(
        supplier("Alder", 100), currency=Currency(code="EUR"), rate=Decimal("1.08"), rate_day=date(2025, 1, 2)
    )
    lumber = [replace(row, seller=euros) for row in boards("Alder", "2x4", 96, (1, 1000))]
    findings = Findings()
    order = order_of(parts_of("2x4", 90), lumber, suppliers=[euros])
    sheet = buy(order, take_off(order, Findings()), findings)
    assert cents(sheet.amount) == 1080 + 100
    assert "the price of 1 EUR is of 2025-01-02, 424 days before the quote" in str(findings.notices[-1])


@pytest.mark.parametrize(("price", "amount"), [("0.07", "0.60"), ("7.99", "68.31")])
def test_prices_of_packs_are_rounded_on_the_line_alone(price: str, amount: str) -> None:
    # 1.08 / 1.2 x 0.95 = 0.855 exactly: ten at 0.07 are 0.5985, ten at 7.99 are 68.3145; a rounded price of one would
    # make them 0.60 and 68.30.
    euros = replace(
        supplier("Alder"),
        currency=Currency(code="EUR"),
        rate=Decimal("1.08"),
        rate_day=date(2026, 3, 1),
        tax_included_percent=Decimal(20),
        discount_percent=Decimal(5),
    )
    hardware = [replace(row, seller=euros, price=Decimal(price)) for row in screws("Alder", 1, (1, 1))]
    order = order_of(parts_of("2x4", 90), boards("Birch", "2x4", 96, (1, 1000)), hardware, 10, [euros])
    (purchase,) = sheet_of(order).hardware
    assert purchase.amount == Decimal(amount)


# All ways to buy, by brute force ------------------------------------------------------------------------------------

Spent = tuple[int, ...]  # cents for each supplier
NAMES = ("Alder", "Birch", "Cedar")
Offered = Mapping[tuple[str, int], PriceList]  # by supplier and length, or pack


def price_at(count: int, prices: PriceList) -> int | None:
    """What so many cost by the price list as it reads; None where so few are not sold."""
    held = [each for least, each in prices if least <= count]
    return count * min(held) if held and count else None if count else 0


def fits(lengths: tuple[int, ...], room: tuple[int, ...]) -> bool:
    """Whether pieces can be cut from boards of these lengths."""
    if not lengths:
        return True
    return any(
        fits(lengths[1:], (*room[:place], left - lengths[0], *room[place + 1 :]))
        for place, left in enumerate(room)
        if left >= lengths[0]
    )


def undominated(found: Iterable[Spent]) -> list[Spent]:
    """Spendings that no other has less of everywhere."""
    kept: list[Spent] = []
    for one in sorted(set(found)):
        if not any(all(a <= b for a, b in zip(other, one, strict=True)) for other in kept):
            kept.append(one)
    return kept


def ways_to_buy(offered: Offered, most: int, enough: object) -> list[Spent]:
    """All spendings for numbers of each offer, up to `most`, that are enough by `enough(numbers)`."""
    found = []
    for counts in product(range(most + 1), repeat=len(offered)):
        costs = [price_at(count, prices) for count, prices in zip(counts, offered.values(), strict=True)]
        if None not in costs and callable(enough) and enough(dict(zip(offered, counts, strict=True))):
            spent = dict.fromkeys(NAMES, 0)
            for (name, _), cost in zip(offered, costs, strict=True):
                spent[name] += cost or 0
            found.append(tuple(spent.values()))
    return undominated(found)


def least_cost(needs: list[list[Spent]], terms: Mapping[str, tuple[int, int]]) -> int:
    """The least that everything can cost, visits and minimum orders with it."""
    totals = [
        sum(
            terms[name][0] + max(terms[name][1], amount)
            for name, amount in zip(NAMES, map(sum, zip(*way, strict=True)), strict=True)
            if amount
        )
        for way in product(*needs)
    ]
    return min(totals)


price_list = st.lists(
    st.tuples(st.integers(1, 4), st.integers(300, 1500)), min_size=1, max_size=3, unique_by=lambda one: one[0]
).map(lambda prices: tuple(sorted(prices)))


def offers_of(sizes: tuple[int, ...]) -> st.SearchStrategy[dict[tuple[str, int], PriceList]]:
    keys = st.tuples(st.sampled_from(NAMES), st.sampled_from(sizes))
    return st.dictionaries(keys, price_list, min_size=1, max_size=4)


any_terms = st.fixed_dictionaries({name: st.tuples(st.integers(0, 700), st.integers(0, 2500)) for name in NAMES})
visits_only = st.fixed_dictionaries({name: st.tuples(st.integers(0, 700), st.just(0)) for name in NAMES})
a_job = {
    "lengths": st.lists(st.integers(15, 70), min_size=1, max_size=3).map(lambda some: sorted(some, reverse=True)),
    "wood": offers_of((48, 72)),
    "wanted": st.integers(0, 9),
    "packs": offers_of((2, 5)),
}
few = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def job(lengths: list[int], wood: Offered, wanted: int, packs: Offered, terms: Mapping[str, tuple[int, int]]) -> Order:
    return order_of(
        parts_of("2x4", *lengths),
        [row for (name, length), prices in wood.items() for row in boards(name, "2x4", length, *prices)],
        [row for (name, pack), prices in packs.items() for row in screws(name, pack, *prices)],
        wanted,
        [supplier(name, *one) for name, one in terms.items()],
    )


def all_ways(lengths: list[int], wood: Offered, wanted: int, packs: Offered) -> list[list[Spent]]:
    def cut(counts: Mapping[tuple[str, int], int]) -> bool:
        return fits(tuple(lengths), tuple(length for (_, length), count in counts.items() for _ in range(count)))

    def held(counts: Mapping[tuple[str, int], int]) -> bool:
        return sum(pack * count for (_, pack), count in counts.items()) >= wanted

    needs = [ways_to_buy(wood, 4, cut)]
    return [*needs, ways_to_buy(packs, 5, held)] if wanted else needs


@few
@given(**a_job, terms=visits_only)
def test_boards_and_packs_are_bought_at_the_least_cost_there_is(
    lengths: list[int], wood: Offered, wanted: int, packs: Offered, terms: Mapping[str, tuple[int, int]]
) -> None:
    assume(any(length >= lengths[0] for _, length in wood))
    sheet = sheet_of(job(lengths, wood, wanted, packs, terms))
    least = least_cost(all_ways(lengths, wood, wanted, packs), terms)
    assert cents(sheet.amount) == least
    assert all(one.proved for one in sheet.boards)
    assert sheet.supplier_plan is None or sheet.supplier_plan.proved


@few
@given(**a_job, terms=any_terms)
def test_with_minimum_orders_no_way_is_cheaper_by_more_than_the_gap(
    lengths: list[int], wood: Offered, wanted: int, packs: Offered, terms: Mapping[str, tuple[int, int]]
) -> None:
    assume(any(length >= lengths[0] for _, length in wood))
    sheet = sheet_of(job(lengths, wood, wanted, packs, terms))
    least = least_cost(all_ways(lengths, wood, wanted, packs), terms)
    gap = cents(sheet.supplier_plan.gap) if sheet.supplier_plan else 0
    assert cents(sheet.amount) - gap <= least <= cents(sheet.amount)


def cost_of_visiting(
    needs: list[list[Spent]], names: Iterable[str], terms: Mapping[str, tuple[int, int]]
) -> int | None:
    """The least that everything costs where the suppliers of a set are all visited and paid their minimum orders."""
    visited = set(names)
    costs = []
    for way in product(*needs):
        amounts = dict(zip(NAMES, map(sum, zip(*way, strict=True)), strict=True))
        if all(name in visited for name, spent in amounts.items() if spent):
            costs.append(sum(terms[name][0] + max(terms[name][1], amounts[name]) for name in visited))
    return min(costs, default=None)


@few
@given(**a_job, terms=any_terms)
def test_what_is_said_of_one_more_supplier_is_true_with_minimum_orders(
    lengths: list[int], wood: Offered, wanted: int, packs: Offered, terms: Mapping[str, tuple[int, int]]
) -> None:
    assume(any(length >= lengths[0] for _, length in wood))
    sheet = sheet_of(job(lengths, wood, wanted, packs, terms))
    plan, needs = sheet.supplier_plan, all_ways(lengths, wood, wanted, packs)
    if plan is None:
        return
    near = {*plan.names, *(name for name in NAMES if terms[name] == (0, 0))}
    if plan.more is not None:
        least = cost_of_visiting(needs, near | {plan.more.name}, terms)
        assert least is not None
        costs = cents(sheet.amount + plan.more.costs_more)
        assert costs == least if plan.more.proved else costs >= least
        assert plan.more.costs_more >= 0  # else it would have been chosen
        return
    goods = cents(sheet.amount - sheet.delivery_amount)
    free = dict.fromkeys(NAMES, (0, 0))
    for name in set(NAMES) - near:
        cheapest = cost_of_visiting(needs, near | {name}, free)
        assert cheapest is not None
        assert cheapest >= goods


@few
@given(**a_job, terms=visits_only, closed=st.sampled_from(NAMES))
def test_one_more_supplier_is_never_dearer(
    lengths: list[int],
    wood: Offered,
    wanted: int,
    packs: Offered,
    terms: Mapping[str, tuple[int, int]],
    closed: str,
) -> None:
    less_wood = {key: prices for key, prices in wood.items() if key[0] != closed}
    less_packs = {key: prices for key, prices in packs.items() if key[0] != closed}
    assume(any(length >= lengths[0] for _, length in less_wood) and (less_packs or not wanted))
    fewer = sheet_of(job(lengths, less_wood, wanted, less_packs, terms))
    every = sheet_of(job(lengths, wood, wanted, packs, terms))
    assert every.amount <= fewer.amount


@few
@given(**a_job)
def test_suppliers_that_cost_nothing_to_visit_change_no_figure(
    lengths: list[int], wood: Offered, wanted: int, packs: Offered
) -> None:
    assume(any(length >= lengths[0] for _, length in wood))
    order = job(lengths, wood, wanted, packs, dict.fromkeys(NAMES, (0, 0)))
    without = replace(order, prices=replace(order.prices, suppliers=()))
    assert sheet_of(order) == sheet_of(without)
    assert sheet_of(order).supplier_plan is None


def by_rule(needs: list[list[Spent]], rule: str, preferred: str) -> list[list[Spent]]:
    """The ways to buy that a rule leaves: what the preferred supplier has alone is bought there."""
    place = NAMES.index(preferred)
    if rule != "prefer":
        return needs
    there = [[way for way in ways if not any(way[:place] + way[place + 1 :])] for ways in needs]
    return [some or ways for some, ways in zip(there, needs, strict=True)]


def costs_by_visits(needs: list[list[Spent]], visits: Mapping[str, int]) -> dict[frozenset[str], int]:
    """The least that everything costs from the very suppliers of a set, for each set there is."""
    least: dict[frozenset[str], int] = {}
    for way in product(*needs):
        amounts = dict(zip(NAMES, map(sum, zip(*way, strict=True)), strict=True))
        visited = frozenset(name for name, amount in amounts.items() if amount)
        cost = sum(amounts.values()) + sum(visits[name] for name in visited)
        least[visited] = min(cost, least.get(visited, cost))
    return least


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(**a_job, terms=visits_only, rule=st.sampled_from(WAYS_TO_CHOOSE), preferred=st.sampled_from(NAMES))
def test_what_is_said_of_a_choice_is_true_by_every_rule(
    lengths: list[int],
    wood: Offered,
    wanted: int,
    packs: Offered,
    terms: Mapping[str, tuple[int, int]],
    rule: str,
    preferred: str,
) -> None:
    assume(any(length >= lengths[0] for _, length in wood))
    visits = {name: visit for name, (visit, _) in terms.items()}
    sold = {name for name, _ in wood} | ({name for name, _ in packs} if wanted else set())
    assume(preferred in sold)
    needs = all_ways(lengths, wood, wanted, packs)
    every = costs_by_visits(needs, visits)
    open_ways = costs_by_visits(by_rule(needs, rule, preferred), visits)
    stops = {"one stop": 1, "fewest stops": min(map(len, every))}.get(rule, len(NAMES))
    allowed = [cost for visited, cost in open_ways.items() if len(visited) <= stops]
    order = job(lengths, wood, wanted, packs, terms)
    choice = choosing(rule, preferred if rule == "prefer" else "")
    order = replace(order, shop=replace(order.shop, supplier_choice=choice))
    findings = Findings()
    sheet = buy(order, take_off(order, findings), findings)
    if not allowed:
        assert ["nobody sells everything" in fault.message for fault in findings.faults] == [True]
        return
    least, plan = min(allowed), sheet.supplier_plan
    assert cents(sheet.amount) == least
    if plan is None:  # nobody who charges for a visit sells anything
        return
    assert plan.proved
    said = supplier_sentences(order, sheet)
    if rule == "cheapest":
        assert plan.without_rule is None
    else:
        less = least - min(every.values())
        told = f"would cost ${Decimal(least - less) / 100:.2f}, ${Decimal(less) / 100:.2f} less, from "
        assert any((told if less else "would cost no less.") in sentence for sentence in said)
    if rule in ("one stop", "fewest stops"):
        assert len(plan.names) == stops
        assert not any("fewer" in sentence for sentence in said if "everything" not in sentence)
        return
    counted = {name for name in NAMES if visits[name]} - ({preferred} if rule == "prefer" else set())
    asking = len(counted.intersection(plan.names))
    fewer = [cost for visited, cost in open_ways.items() if len(counted & visited) < asking]
    assert plan.asking == asking
    if asking:
        assert (None if plan.fewer is None else cents(plan.fewer.costs_more)) == (min(fewer) - least if fewer else None)
        assert any("can be had." in sentence for sentence in said) == (not fewer and asking > 1)
        if any(sentence.startswith("With one supplier fewer not all") for sentence in said):
            kept = {preferred} if rule == "prefer" else set()
            assert all(len(visited - kept) >= len({*plan.names} - kept) for visited in open_ways)
