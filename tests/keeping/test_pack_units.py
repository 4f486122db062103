import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.keeping.pack_units import (
    container_price_times,
    container_text,
    content_price_times,
    parse_content,
    price_of_pack,
)
from estimator.reading.pack_amounts import Amount, count_per_pound, parse_amount

LB_PER_KG = 1 / Fraction("0.45359237")  # GNU Units 3.22


def pieces(number: int) -> Amount:
    return Amount(number=Fraction(number), unit="piece")


def pounds(number: Fraction | int) -> Amount:
    return Amount(number=Fraction(number), unit="pound")


A_PACK = Amount(number=Fraction(1), unit="pack")


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("100", 100),
        ("100 pcs", 100),
        ("Box of 100", 100),
        ("box (100 ct)", 100),
        ("1 box of 100", 100),
        ("2 boxes of 50", 100),
        ("2 x 50", 100),
        ("100/box", 100),
        ("100er Packung", 100),
        ("VE 100 Stück", 100),
        ("VPE à 200 Stk.", 200),
        ("je 100 Stck", 100),
        ("per 1000", 1000),
        ("per thousand", 1000),
        ("each", 1),
        ("pc", 1),
        ("lose", 1),
        ("pair", 2),
        ("dozen", 12),
        ("2 dozen", 24),
        ("gross", 144),
    ],
)
def test_pieces_are_read_from_the_words_of_price_lists(text: str, number: int) -> None:
    assert parse_amount(text) == parse_amount(text.upper()) == pieces(number)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("5 lb", 5),
        ("25 lb. box", 25),
        ("pound", 1),
        ("8 oz", Fraction(1, 2)),
        ("1 kg", LB_PER_KG),
        ("2.5 kg", LB_PER_KG * 5 / 2),
    ],
)
def test_weights_are_read_as_pounds(text: str, number: Fraction | int) -> None:
    assert parse_amount(text) == pounds(number)


@pytest.mark.parametrize("text", ["box", "1 box", "Packung", "VE", "per pack", "carton"])
def test_a_pack_that_does_not_say_what_it_holds_is_just_a_pack(text: str) -> None:
    assert parse_amount(text) == A_PACK


@pytest.mark.parametrize(
    "text", ["", "100 mm", "100 screws", "10 x", "100%", "-100", "1/2 lb", "0", "100 200", "5 lb of 100", "m", "²"]
)
def test_other_words_are_refused_and_never_guessed(text: str) -> None:
    with pytest.raises(ValueError, match="write it like 100, 100 pcs, Box of 100 or 5 lb"):
        parse_amount(text)


@given(st.text(max_size=20))
def test_any_text_is_an_amount_above_nothing_or_refused(text: str) -> None:
    try:
        amount = parse_amount(text)
    except ValueError as reason:
        refusal = str(reason)
    else:
        refusal = ""
        assert amount.number > 0
    assert not refusal or "write" in refusal


@pytest.mark.parametrize(
    ("pack", "per", "holds", "times"),
    [
        (pieces(100), A_PACK, 100, 1),  # a box of 100 at the price of the box
        (pieces(50), pieces(1), 50, 50),  # boxes of 50, priced by the piece
        (pieces(250), pieces(100), 250, Fraction(5, 2)),  # boxes of 250, priced per hundred
        (pieces(200), pieces(1000), 200, Fraction(1, 5)),
        (None, pieces(1), 1, 1),  # loose, by the piece
        (None, pieces(100), 100, 1),  # where no pack is named, the hundred is bought whole
    ],
)
def test_a_pack_costs_its_share_of_what_is_priced(
    pack: Amount | None, per: Amount, holds: int, times: Fraction
) -> None:
    assert price_of_pack(pack, per, None) == (holds, times)


@pytest.mark.parametrize(
    ("pack", "per", "holds", "times"),
    [
        # 8d common nails, 100 to the pound in both published tables: a 5 lb box holds 500.
        (pounds(5), A_PACK, 500, 1),
        (pounds(5), pounds(1), 500, 5),
        (None, pounds(1), 100, 1),
        (pieces(250), pounds(1), 250, Fraction(5, 2)),  # 250 of them weigh 2 1/2 lb
        (pounds(5), pieces(1), 500, 500),
        (pounds(LB_PER_KG), pounds(LB_PER_KG), 220, 1),  # a kilogram is 2.2046 lb: 220 whole nails
    ],
)
def test_nails_by_weight_are_counted_by_the_pound(
    pack: Amount | None, per: Amount, holds: int, times: Fraction
) -> None:
    nails = count_per_pound("common nail", "8d")
    assert nails is not None
    assert price_of_pack(pack, per, nails.mean) == (holds, times)


@pytest.mark.parametrize(
    ("pack", "per", "complaint"),
    [
        (None, A_PACK, "does not say how many a pack holds"),
        (A_PACK, pieces(1), "does not say how many a pack holds"),
        (pounds(5), A_PACK, "goes by weight, and no count to the pound is published for it"),
        (pieces(100), pounds(1), "goes by weight, and no count to the pound is published for it"),
        (Amount(number=Fraction(3, 2), unit="piece"), A_PACK, "is no whole number of pieces"),
    ],
)
def test_an_impossible_conversion_is_refused(pack: Amount | None, per: Amount, complaint: str) -> None:
    with pytest.raises(ValueError, match=f"{complaint}; "):
        price_of_pack(pack, per, None)


@given(st.integers(1, 1000), st.integers(1, 1000), st.integers(1, 50))
def test_a_larger_pack_at_the_same_rate_costs_as_many_times_more(pack: int, per: int, times: int) -> None:
    holds, small = price_of_pack(pieces(pack), pieces(per), None)
    many, large = price_of_pack(pieces(pack * times), pieces(per), None)
    assert (many, large) == (holds * times, small * times)


with (Path(__file__).parents[1] / "reference" / "fasteners.csv").open(encoding="utf-8", newline="") as table:
    COUNTS = [row for row in csv.DictReader(table) if row["property"].startswith("count_per_lb_")]
SIZES = sorted({(row["kind"], row["size"]) for row in COUNTS if row["status"] == "verified"})


@pytest.mark.parametrize(("kind", "size"), SIZES)
def test_the_count_is_the_mean_of_what_is_published(kind: str, size: str) -> None:
    # Each row of the table names its source; low and high differ where the sources do.
    published = [int(row["value"]) for row in COUNTS if (row["kind"], row["size"]) == (kind, size)]
    nails = count_per_pound(f"{kind.removeprefix('nail_')} nail", size)
    assert nails is not None
    assert (nails.low, nails.high) == (min(published), max(published))
    assert nails.mean == Fraction(min(published) + max(published), 2)
    assert nails.source


@pytest.mark.parametrize(
    ("kind", "size"), [("Finish nail", "8 d"), ("nails, finishing", "8D"), ("Finishing-Nail", "8d")]
)
def test_a_nail_is_known_by_its_common_names(kind: str, size: str) -> None:
    assert count_per_pound(kind, size) == count_per_pound("finishing nail", "8d")


@pytest.mark.parametrize(
    ("kind", "size"),
    [("nail", "8d"), ("screw", "#8"), ("common nail", "40d"), ("common nail", "3.1 x 65 mm"), ("", "")],
)
def test_where_no_count_is_published_there_is_none(kind: str, size: str) -> None:
    assert count_per_pound(kind, size) is None


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("10", 10, ""),
        ("25 rags", 25, "rags"),
        ("Box of 50 discs", 50, "discs"),
        ("32 fl oz", 32, "fl oz"),
        ("50 sheets/box", 50, "sheets"),
        ("0.75 kg", Fraction(3, 4), "kg"),
    ],
)
def test_what_a_pack_of_a_consumable_holds_comes_with_its_unit(text: str, amount: Fraction, unit: str) -> None:
    assert parse_content(text) == (amount, unit)


@pytest.mark.parametrize("text", ["", "rags", "2 x 5", "box"])
def test_a_pack_that_holds_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="does not say how much a pack holds; write it like"):
        parse_content(text)


@pytest.mark.parametrize(
    ("pack", "unit", "per", "times"),
    [
        (50, "discs", "", 1),
        (50, "discs", "pack", 1),
        (50, "discs", "each", 50),
        (50, "discs", "disc", 50),
        (50, "discs", "100", Fraction(1, 2)),
        (50, "discs", "per 100 discs", Fraction(1, 2)),
        (32, "fl oz", "gal", Fraction(1, 4)),  # 128 fl oz to the gallon
        (5, "lb", "kg", 5 * Fraction("0.45359237")),
    ],
)
def test_a_pack_of_a_consumable_costs_its_share(pack: int, unit: str, per: str, times: Fraction) -> None:
    assert content_price_times(Fraction(pack), unit, per) == times


def test_what_does_not_convert_to_the_packs_unit_is_refused() -> None:
    with pytest.raises(ValueError, match='"kg" does not convert to discs'):
        content_price_times(Fraction(50), "discs", "kg")
    with pytest.raises(ValueError, match="is per nothing"):
        content_price_times(Fraction(50), "discs", "0")


@pytest.mark.parametrize(
    ("text", "ours"),
    [
        ("5 Gallon Pail", "5 Gallon"),
        ("Quart", "1 Quart"),
        ("750ml", "750 ml"),
        ("Dose 2.5 Liter", "2.5 Liter"),
        ("1 gal + 1 qt", "1 gal + 1 qt"),
        ("large", "large"),
    ],
)
def test_containers_lose_their_packing(text: str, ours: str) -> None:
    assert container_text(text) == ours


@pytest.mark.parametrize(
    ("content_gal", "per", "times"),
    [
        (Fraction(5), "", 1),
        (Fraction(5), "can", 1),
        (Fraction(5), "each", 1),
        (Fraction(5), "gal", 5),
        (Fraction(1, 4), "gallon", Fraction(1, 4)),
        (Fraction(1), "qt", 4),
        (Fraction(1), "litre", Fraction("3.785411784")),
        (Fraction(1), "100 ml", Fraction("37.85411784")),
    ],
)
def test_a_can_costs_its_share_of_the_liquid(content_gal: Fraction, per: str, times: Fraction) -> None:
    # US gallon = 3.785411784 L, NIST SP 811 as quoted in the units' table
    assert container_price_times(content_gal, per) == times


def test_a_liquid_is_not_sold_by_weight() -> None:
    with pytest.raises(ValueError, match='"kg" does not convert to gal'):
        container_price_times(Fraction(1), "kg")
