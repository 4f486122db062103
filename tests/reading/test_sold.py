from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.offers import units_in_board
from estimator.errors import Findings, Origin
from estimator.money import Currency
from estimator.reading.fields import Fields
from estimator.reading.sold import FACE_NOTICE, HardwarePrice, LumberPrice, read_sold

BOARD = {
    "supplier": "Fernhill Sawmill Yard",
    "species": "western larch",
    "section": "2x6",
    "length": "8 ft",
    "price": "6.80",
    "per": "each",
    "date": "2026-11-02",
}
NAILS = {
    "supplier": "Bramble Lane Hardware",
    "kind": "common nail",
    "size": "8d",
    "material": "bright steel",
    "pack": "100",
    "price": "14.20",
    "date": "2026-11-02",
}
NO_MEASURE = "is nothing lumber is priced per; write each, ft, m, 100 ft, bf, MBF, ft3, m3, ft2 or m2"


def read(
    table: str, texts: dict[str, str], *, decimal_comma: bool = False
) -> tuple[LumberPrice | HardwarePrice, Findings]:
    findings = Findings()
    row = Fields(
        texts=texts, origin=Origin(file=f"{table}.csv", line=4), findings=findings, decimal_comma=decimal_comma
    )
    sold = read_sold(table, row, "in", Currency(code="USD"))
    assert isinstance(sold, LumberPrice | HardwarePrice)
    return sold, findings


def board(**texts: str) -> LumberPrice:
    sold, findings = read("lumber", {**BOARD, **texts})
    assert findings.faults == []
    assert isinstance(sold, LumberPrice)
    return sold


def pack(text: str, *, decimal_comma: bool = False, **texts: str) -> tuple[int, Findings]:
    sold, findings = read("hardware", {**NAILS, "pack": text, **texts}, decimal_comma=decimal_comma)
    assert isinstance(sold, HardwarePrice)
    return sold.pack, findings


def cost(row: LumberPrice) -> Fraction:
    """Return what one board costs."""
    return row.net_price * units_in_board(row)


@pytest.mark.parametrize(
    ("per", "texts", "price"),
    [
        ("each", {}, Fraction("6.80")),
        ("ft", {}, Fraction("6.80") * 8),
        ("100 ft", {"price": "680"}, Fraction("6.80") * 8),
        ("per 100 ft", {"price": "680"}, Fraction("6.80") * 8),
        ("1000 bf", {"price": "680"}, Fraction("0.68") * 8),  # a 2x6 of 8 ft has 8 board feet
        # A board 6 in wide and 8 ft long has a face of 4 square feet.
        ("ft2", {}, Fraction("6.80") * 4),
        ("100 sq ft", {"price": "680"}, Fraction("6.80") * 4),
        # A face of 0.12 m by 3 m has 0.36 square metres.
        ("m2", {"section": "27 x 120 mm", "length": "3 m"}, Fraction("6.80") * Fraction("0.36")),
        ("10 m", {"section": "27 x 120 mm", "length": "3 m"}, Fraction("0.68") * 3),
    ],
)
def test_a_board_costs_its_share_of_whatever_its_price_is_per(per: str, texts: dict[str, str], price: Fraction) -> None:
    row = board(per=per, **texts)
    assert cost(row) == price
    assert row.per == per


@pytest.mark.parametrize(
    ("per", "section", "basis", "units"),
    [
        ("ft2", "8/4", "board foot", 2),  # a square foot of 8/4 is two board feet
        ("ft2", "3/4 in", "board foot", 1),  # less than an inch counts as an inch
        ("m2", "52 mm", "cubic foot", Fraction("0.052") / Fraction("0.028316846592")),
        ("MBF", "8/4", "board foot", 1000),
    ],
)
def test_lumber_of_random_length_may_be_priced_by_its_face(
    per: str, section: str, basis: str, units: Fraction | int
) -> None:
    pricing = board(per=per, section=section, length="random").pricing
    assert (pricing.basis, pricing.units) == (basis, units)


def test_a_price_by_the_face_says_by_which_sizes_it_is_taken_once_for_a_table() -> None:
    findings = Findings()
    for line in (2, 3):
        row = Fields(texts={**BOARD, "per": "ft2"}, origin=Origin(file="lumber.csv", line=line), findings=findings)
        read_sold("lumber", row, "in", Currency(code="USD"))
    assert [str(notice) for notice in findings.notices] == [f"lumber.csv: {FACE_NOTICE}"]
    assert read("lumber", {**BOARD, "per": "100 ft"})[1] == Findings()


@pytest.mark.parametrize(
    ("per", "length", "complaint"),
    [
        ("100 bf", "random", '"100 bf" cannot price lumber by volume; write the price of one'),
        ("ft", "random", '"ft" cannot price random lengths; write bf, MBF or m3, or give a length'),
        ("0 ft", "8 ft", f'"0 ft" {NO_MEASURE}'),
        ("100", "8 ft", f'"100" {NO_MEASURE}'),
        ("1,000 ft", "8 ft", ""),
        ("1.000 ft", "8 ft", ""),
    ],
)
def test_what_lumber_cannot_be_priced_per_is_a_fault(per: str, length: str, complaint: str) -> None:
    _, findings = read("lumber", {**BOARD, "per": per, "length": length})
    said = [str(fault) for fault in findings.faults]
    if complaint:
        (one,) = said
        assert one.startswith(f"lumber.csv:4: per: {complaint}")
    else:
        assert all("could mean two numbers" in one for one in said)


@pytest.mark.parametrize(
    ("unit", "length", "meant"),
    [
        ("in", "16", "16 ft"),
        ("in", "21.92", "21.92 ft"),
        ("in", "16 1/2", "16 1/2 ft"),
        ("in", "16 in", ""),
        ("in", "96", ""),
        ("mm", "3.6", "3.6 m"),
        ("mm", "3600.5", ""),
    ],
)
def test_a_bare_number_too_short_for_a_board_is_a_length_without_its_unit(unit: str, length: str, meant: str) -> None:
    findings = Findings()
    row = Fields(texts={**BOARD, "length": length}, origin=Origin(file="lumber.csv", line=4), findings=findings)
    read_sold("lumber", row, unit, Currency(code="USD"))
    said = [str(fault) for fault in findings.faults]
    assert [one.endswith(f"; write it with its unit, like {meant}") for one in said] == ([True] if meant else [])


@pytest.mark.parametrize(("text", "is_unit"), [("fl oz", True), ("8", False), ("8.5", False), ("m2", True)])
def test_a_number_is_nothing_that_a_pack_is_counted_in(text: str, *, is_unit: bool) -> None:
    findings = Findings()
    glue = {"supplier": "Dale", "item": "Glue", "pack": "8", "unit": text, "price": "6.90", "date": "2026-11-02"}
    row = Fields(texts=glue, origin=Origin(file="consumables.csv", line=4), findings=findings)
    read_sold("consumables", row, "in", Currency(code="USD"))
    said = f'consumables.csv:4: unit: "{text}" is a number; write what the pack is counted in, such as fl oz or discs'
    assert [str(fault) for fault in findings.faults] == ([] if is_unit else [said])


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("100", 100),
        ("box of 100", 100),
        ("100 pcs", 100),
        ("2 x 50 pcs", 100),
        ("each", 1),
        ("dozen", 12),
        ("5 lb", 500),  # 100 of 8d common nails to the pound in both published tables
        ("1 kg", 220),  # 2.2046 lb: 220 whole nails
    ],
)
def test_a_pack_holds_what_its_words_come_to(text: str, pieces: int) -> None:
    found, findings = pack(text)
    assert (found, findings.faults) == (pieces, [])


def test_nails_by_weight_say_whose_count_they_go_by() -> None:
    (notice,) = pack("5 lb")[1].notices
    assert str(notice).startswith("hardware.csv: common nail 8d by weight is counted as 100 to the pound, as published")
    assert pack("box of 100")[1] == Findings()


@pytest.mark.parametrize(
    ("text", "kind", "complaint"),
    [
        ("5 lb", "wood screw", '"5 lb" goes by weight, and no count to the pound is published for it; write how many'),
        ("box", "common nail", '"box" does not say how many a pack holds; write it like 100, 100 pcs'),
        ("100 mm", "common nail", '"100 mm" says neither how many nor how heavy; write it like 100'),
        ("1.5 pcs", "common nail", '"1.5 pcs" is no whole number of pieces; write it like 100'),
        ("0.001 lb", "common nail", '"0.001 lb" comes to 0 pieces; write what holds from 1 to 100,000'),
        ("9000 lb", "common nail", '"9000 lb" comes to 900,000 pieces; write what holds from 1 to 100,000'),
        ("1.5", "common nail", '"1.5" does not fit here; write a whole number from 1 to 100000'),
    ],
)
def test_a_pack_that_cannot_be_counted_is_a_fault(text: str, kind: str, complaint: str) -> None:
    (fault,) = pack(text, kind=kind)[1].faults
    assert str(fault).startswith(f"hardware.csv:4: pack: {complaint}")


def test_a_weight_with_a_decimal_comma_is_read_in_a_list_that_writes_so() -> None:
    assert pack("2,5 kg", decimal_comma=True)[0] == pack("2.5 kg")[0] == 551  # 2.5 / 0.45359237 = 5.5116 lb
    (fault,) = pack("1.250 kg", decimal_comma=True)[1].faults
    assert "could mean two numbers" in str(fault)


@given(st.text(max_size=15))
def test_any_pack_is_a_count_above_nothing_or_a_fault(text: str) -> None:
    found, findings = pack(text.strip())
    assert findings.faults or 1 <= found <= 100_000


@given(st.integers(1, 1000), st.sampled_from(["ft", "m", "bf", "ft2", "m2", "each"]))
def test_a_price_for_many_is_as_many_times_the_price_of_one(number: int, per: str) -> None:
    assert cost(board(per=f"{number} {per}")) * number == cost(board(per=per))
