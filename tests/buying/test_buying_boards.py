from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.boards import buy_boards
from estimator.buying.layouts import is_usable
from estimator.buying.offers import board_price
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.cutting_settings import SawSettings
from estimator.reading.order import Order, read_order
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.reading.trade_units import parse_per
from estimator.standards.sections import parse_section
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import MM_PER_IN

DOLLARS = Currency(code="USD")


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def row_of(
    section: str, length_in: Fraction, price: str, per: str = "each", supplier: str = "Hollow Yard"
) -> LumberPrice:
    return replace(
        stands().prices.lumber[0],
        section=parse_section(section),
        length_in=length_in,
        price=Decimal(price),
        per=per,
        pricing=parse_per(per),
        supplier=supplier,
    )


def boards_of(*lengths_and_prices: tuple[Fraction, str]) -> tuple[LumberPrice, ...]:
    """Price rows of 2x4, each on a line of its own."""
    return tuple(
        replace(row, origin=replace(row.origin, line=place + 2))
        for place, row in enumerate(row_of("2x4", length, price) for length, price in lengths_and_prices)
    )


def shop_of(
    *, kerf: Fraction = Fraction(1, 8), trim: Fraction = Fraction(1, 2), usable: Fraction = Fraction(12)
) -> Shop:
    return replace(
        stands().shop,
        saw=SawSettings(kerf_in=kerf, rip_kerf_in=kerf, end_trim_in=trim, usable_offcut_in=usable),
    )


def need_of(*lengths_and_blanks: tuple[Fraction, int], builds: tuple[str, ...] = ("Box",)) -> LumberNeed:
    part = stands().items[0].build.parts[0]
    return LumberNeed(
        species="western redcedar",
        grade="",
        section=parse_section("2x4"),
        pieces=tuple(
            PieceNeed(
                build=builds[place % len(builds)],
                unit="in",
                part=replace(part, name=f"Part {place}"),
                quantity=blanks,
                blank_length_in=length,
                blank_width_in=Fraction(7, 2),
                strips=1,
            )
            for place, (length, blanks) in enumerate(lengths_and_blanks)
        ),
    )


def bought(need: LumberNeed, rows: tuple[LumberPrice, ...], shop: Shop) -> BoardPurchase:
    findings = Findings()
    purchase = buy_boards(need, rows, shop, findings)
    assert purchase is not None
    assert findings.faults == []
    return purchase


@pytest.mark.parametrize(
    ("section", "length_in", "price", "per", "expected"),
    [
        ("2x4", Fraction(96), "14.88", "each", "14.88"),
        ("2x4", Fraction(96), "1.62", "ft", "12.96"),  # 8 ft x 1.62
        ("2x4", Fraction(96), "5.00", "m", "12.19"),  # 8 ft are 2.4384 m, 12.192
        ("2x4", Fraction(96), "2.40", "bf", "12.80"),  # 2 x 4 x 8 / 12 = 5 1/3 board feet
        ("2x4", Fraction(96), "850", "MBF", "4.53"),  # 5 1/3 thousandths, 4.5333
        ("2x4", Fraction(96), "600", "m3", "7.55"),  # 5 1/3 x 0.002359737216 m3 (GNU Units) = 0.01258527, 7.5512
        ("5/4x6", Fraction(144), "2.00", "bf", "15.00"),  # 1 1/4 x 6 x 12 / 12 = 7 1/2 board feet
        ("1x6", Fraction(150), "3.00", "bf", "18.75"),  # 12 1/2 ft: 6 1/4 board feet
        ("3/4 x 3 1/2 in", Fraction(96), "3.00", "bf", "7.00"),  # counts as 1 in thick: 1 x 3 1/2 x 8 / 12 = 2 1/3
        ("27 x 145 mm", 3000 / MM_PER_IN, "900", "m3", "10.57"),  # 0.027 x 0.145 x 3 = 0.011745 m3, 10.5705
        ("27 x 145 mm", 3000 / MM_PER_IN, "4.35", "m", "13.05"),
        ("2x4", Fraction(96), "20", "ft3", "8.89"),  # 2 x 4 x 96 = 768 in3 / 1728 = 0.444444 ft3
        ("2x4", Fraction(102), "1.70", "ft", "14.45"),
        ("2x4", Fraction(30), "1.29", "ft", "3.23"),  # 2 1/2 ft: 3.225, half a cent up
    ],
)
def test_a_board_costs_its_measure_times_the_price(
    section: str, length_in: Fraction, price: str, per: str, expected: str
) -> None:
    assert board_price(row_of(section, length_in, price, per), DOLLARS) == Decimal(expected)


def test_a_board_costs_whole_coins_of_its_currency() -> None:
    # 8 ft at 130.3 yen are 1042.4: the yen has no smaller coin.
    assert board_price(row_of("2x4", Fraction(96), "130.3", "ft"), Currency(code="JPY")) == Decimal(1042)


def test_kerf_and_trim_decide_how_many_pieces_a_board_gives() -> None:
    # 8 ft less half an inch at each end is 95 in. Four of 23 1/2 and three kerfs of 1/8 are 94 3/8, and four of
    # 23 5/8 + 3/8 = 94 7/8; four of 23 11/16 + 3/8 are 95 1/8, so the fourth takes a second board.
    rows = boards_of((Fraction(96), "10.00"))
    assert bought(need_of((Fraction(47, 2), 4)), rows, shop_of()).amount == Decimal("10.00")
    assert bought(need_of((Fraction(189, 8), 4)), rows, shop_of()).amount == Decimal("10.00")
    assert bought(need_of((Fraction(379, 16), 4)), rows, shop_of()).amount == Decimal("20.00")


def test_the_last_piece_may_end_flush_with_the_board() -> None:
    # Four of 23 21/32 and three kerfs are 94 5/8 + 3/8 = 95 exactly: no fourth kerf is needed.
    purchase = bought(need_of((Fraction(757, 32), 4)), boards_of((Fraction(96), "10.00")), shop_of())
    (layout,) = purchase.layouts
    assert layout.blanks[-1].end_in == 95
    assert layout.left_over_in == 0


def test_whole_millimetres_fill_a_metric_board_exactly() -> None:
    # 3 m board without trim, kerf 3 mm: 5 x 597 + 4 x 3 = 2997, and 5 x 597.6 + 12 = 3000.
    shop = shop_of(kerf=3 / MM_PER_IN, trim=Fraction(0))
    rows = boards_of((3000 / MM_PER_IN, "12.00"))
    assert bought(need_of((Fraction(5976, 10) / MM_PER_IN, 5)), rows, shop).amount == Decimal("12.00")
    assert bought(need_of((Fraction(5977, 10) / MM_PER_IN, 5)), rows, shop).amount == Decimal("24.00")


def test_inch_pieces_are_cut_from_metric_boards_and_never_overfill_them() -> None:
    # 2.4 m are 94.488 in. Four pieces of 23 1/2 in and three kerfs of 1/8 are 94.375 in: they fit, by 0.113 in.
    # Four of 23 35/64 are 94.5625: they do not.
    shop, rows = shop_of(trim=Fraction(0)), boards_of((2400 / MM_PER_IN, "9.00"))
    assert bought(need_of((Fraction(47, 2), 4)), rows, shop).amount == Decimal("9.00")
    assert bought(need_of((23 + Fraction(35, 64), 4)), rows, shop).amount == Decimal("18.00")


def test_the_dearer_length_is_bought_where_it_saves_a_board() -> None:
    # Three pieces of 40 in: an 8 ft board (95 in) gives two, a 12 ft board (143 in) three. 2 x 10.00 against 16.00.
    rows = boards_of((Fraction(96), "10.00"), (Fraction(144), "16.00"))
    purchase = bought(need_of((Fraction(40), 3)), rows, shop_of())
    assert (purchase.amount, purchase.bound, purchase.proved) == (Decimal("16.00"), Decimal("16.00"), True)
    # Two pieces: one of 8 ft.
    assert bought(need_of((Fraction(40), 2)), rows, shop_of()).amount == Decimal("10.00")


def test_of_two_suppliers_the_cheaper_sells_the_board() -> None:
    dear, cheap = boards_of((Fraction(96), "11.00"), (Fraction(96), "10.50"))
    (line,) = bought(need_of((Fraction(40), 2)), (dear, cheap), shop_of()).lines
    assert (line.row, line.amount) == (cheap, Decimal("10.50"))


def test_a_usable_left_over_keeps_its_share_of_the_price() -> None:
    # One piece of 47 in from 95: left 95 - 47 - 1/8 = 47 7/8 in of a 96 in board at 9.60.
    purchase = bought(need_of((Fraction(47), 1)), boards_of((Fraction(96), "9.60")), shop_of())
    assert purchase.layouts[0].left_over_in == Fraction("47.875")
    assert purchase.used_share == 1 - Fraction("47.875") / 96
    # To a shop that keeps nothing under 4 ft all of it is used.
    assert (
        bought(need_of((Fraction(47), 1)), boards_of((Fraction(96), "9.60")), shop_of(usable=Fraction(48))).used_share
        == 1
    )


def test_pieces_that_no_board_holds_are_all_reported() -> None:
    findings = Findings()
    need = need_of((Fraction(95), 1), (Fraction(96), 2), (Fraction(120), 1))
    assert buy_boards(need, boards_of((Fraction(72), "6.00"), (Fraction(96), "9.60")), shop_of(), findings) is None
    assert [fault.message.split(" takes ")[0] for fault in findings.faults] == ['"Part 1"', '"Part 2"']
    assert "gives 95 in once its ends are squared" in findings.faults[0].message


@st.composite
def needs(draw: st.DrawFn) -> LumberNeed:
    length = st.one_of(
        st.integers(32, 560).map(lambda n: Fraction(n, 16)),
        st.integers(500, 8800).map(lambda n: Fraction(n, 10) / MM_PER_IN),
    )
    blanks = draw(st.lists(st.tuples(length, st.integers(1, 12)), min_size=1, max_size=4))
    return need_of(*blanks, builds=("Chair", "Table"))


boards = st.lists(
    st.tuples(
        st.one_of(st.sampled_from([Fraction(72), Fraction(96), Fraction(120)]), st.just(2400 / MM_PER_IN)),
        st.integers(400, 3000).map(lambda cents: str(Decimal(cents) / 100)),
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    need=needs(),
    rows=boards,
    kerf=st.sampled_from([Fraction(0), Fraction(1, 8), Fraction(3, 32), 3 / MM_PER_IN]),
    trim=st.sampled_from([Fraction(0), Fraction(1, 2), 10 / MM_PER_IN]),
)
def test_every_plan_can_be_cut_and_paid(
    need: LumberNeed, rows: list[tuple[Fraction, str]], kerf: Fraction, trim: Fraction
) -> None:
    shop = shop_of(kerf=kerf, trim=trim)
    purchase = bought(need, boards_of(*rows), shop)
    cut: Counter[str] = Counter()
    kept = Fraction(0)
    for layout in purchase.layouts:
        usable = layout.board_length_in - 2 * trim
        assert layout.board_length_in == layout.row.length_in
        assert layout.unit_price == board_price(layout.row, DOLLARS)
        assert layout.blanks[0].start_in == 0
        for before, after in zip(layout.blanks, layout.blanks[1:], strict=False):
            assert after.start_in == before.end_in + kerf
        for blank in layout.blanks:
            (lying,) = blank.pieces
            assert blank.end_in - blank.start_in == lying.piece.blank_length_in
            cut[lying.piece.part.name] += layout.boards
        last = layout.blanks[-1].end_in
        assert last <= usable
        assert layout.left_over_in == max(0, usable - last - kerf)
        if is_usable(layout, shop.saw):
            kept += layout.boards * layout.left_over_in / layout.board_length_in * Fraction(layout.unit_price)
    assert cut == {piece.part.name: piece.blanks for piece in need.pieces}
    paid = sum((layout.boards * layout.unit_price for layout in purchase.layouts), Decimal(0))
    assert purchase.amount == paid == sum(line.quantity * line.unit_price for line in purchase.lines)
    assert purchase.bound <= paid
    assert purchase.used_share == 1 - kept / Fraction(paid)
    assert (
        purchase.boards
        == sum(layout.boards for layout in purchase.layouts)
        == sum(line.quantity for line in purchase.lines)
    )
    assert purchase.bought_length_ft >= need.length_ft
    assert purchase.bought_board_feet == purchase.bought_length_ft * 2 * 4 / 12
    assert sum(share for _, share in purchase.by_build) == 1
    used = {
        build: sum(p.blanks * p.blank_length_in for p in need.pieces if p.build == build)
        for build in ("Chair", "Table")
    }
    assert {build: share * sum(used.values()) for build, share in purchase.by_build} == {
        b: u for b, u in used.items() if u
    }


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(need=needs(), rows=boards)
def test_no_plan_is_dearer_than_one_board_for_each_blank(need: LumberNeed, rows: list[tuple[Fraction, str]]) -> None:
    priced = boards_of(*rows)
    purchase = bought(need, priced, shop_of())
    singly = sum(
        piece.blanks * min(Decimal(price) for length, price in rows if length - 1 >= piece.blank_length_in)
        for piece in need.pieces
    )
    assert purchase.amount <= singly
