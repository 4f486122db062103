import csv
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from math import cos, radians
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.reading.parts import Part
from estimator.solid import Shape, reach_in
from estimator.standards.sections import parse_section
from estimator.takeoff.lumber import LumberNeed, PieceNeed, blank_length_in, lumber_needs, strips_across, weight_of
from estimator.units import MM_PER_IN

TESTS = Path(__file__).parents[1]


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (TESTS / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


@cache
def stands() -> Order:
    return read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def square_part(
    *, species: str = "western larch", section: str = "2x4", length_in: Fraction = Fraction(12), quantity: int = 1
) -> Part:
    size = parse_section(section)
    shape = Shape(length_in=length_in, width_in=size.width_in or Fraction(6), thickness_in=size.thickness_in)
    return replace(
        stands().items[0].build.parts[0], species=species, section=size, shape=shape, quantity=quantity, hidden=()
    )


def item_of(*parts: Part, quantity: int = 1, name: str = "Box", unit: str = "in") -> OrderedBuild:
    build = replace(stands().items[0].build, name=name, unit=unit, parts=parts)
    return OrderedBuild(build=build, quantity=quantity)


def need_of(section: str, *, length_ft: Fraction, pieces: int) -> LumberNeed:
    (need,) = lumber_needs(
        (item_of(square_part(section=section, length_in=length_ft * 12), quantity=pieces),), stands()
    )
    return need


@pytest.mark.parametrize(
    "row", [row for row in verified("board_measure.csv") if row["kind"] == "example"], ids=lambda row: row["id"]
)
def test_board_feet_of_a_need_are_what_worked_examples_print(row: dict[str, str]) -> None:
    # US Army EN5155, furnituremaking.us book excerpts, shipgsl.com, examzify.com: see the row's source.
    need = need_of(
        f"{row['thickness_in']}x{row['width_in']}", length_ft=Fraction(row["length_ft"]), pieces=int(row["pieces"])
    )
    assert need.board_feet == pytest.approx(float(row["expected_value"]), abs=0.005)  # 33.33 has two decimals
    assert need.length_ft == int(row["pieces"]) * Fraction(row["length_ft"])


def test_random_widths_count_with_the_finished_width() -> None:
    # 8/4, 6 in wide finished, 3 ft long: 2 x 6 x 3 / 12 = 3 board feet.
    assert need_of("8/4", length_ft=Fraction(3), pieces=1).board_feet == 3


def test_a_metric_section_has_its_actual_volume() -> None:
    # 50 x 100 mm, 2 m long, 5 pieces: 0.05 m3, or 0.05 / 0.3048^3 = 1.765733 ft3.
    need = need_of("50 x 100 mm", length_ft=2000 / MM_PER_IN / 12, pieces=5)
    assert need.volume_ft3 == pytest.approx(1.765733, abs=1e-6)
    assert need.net_volume_ft3 == pytest.approx(1.765733, abs=1e-6)


def test_pieces_of_one_section_are_pooled_over_the_builds() -> None:
    items = (
        item_of(square_part(species="Western-Larch"), square_part(section="1x4"), quantity=2, name="One"),
        item_of(square_part(species="western larch", quantity=3), quantity=5, name="Two"),
    )
    by_title = {need.title: need for need in lumber_needs(items, stands())}
    assert {title: [piece.quantity for piece in need.pieces] for title, need in by_title.items()} == {
        "Western-Larch 2x4": [2, 15],
        "western larch 1x4": [2],
    }


def test_strips_share_a_boards_width_with_a_kerf_between_each_two() -> None:
    eighth = Fraction(1, 8)
    # 3 1/2 in wide: two of 1 11/16 and a kerf are 3 1/2 exactly; a 64th more each and only one fits.
    assert strips_across(Fraction(7, 2), Fraction(27, 16), eighth) == 2
    assert strips_across(Fraction(7, 2), Fraction(27, 16) + Fraction(1, 64), eighth) == 1
    # 5 1/2 in: three of 1 3/4 and two kerfs are 5 1/2 exactly.
    assert strips_across(Fraction(11, 2), Fraction(7, 4), eighth) == 3
    assert strips_across(None, Fraction(7, 4), eighth) == 1
    # Two of 1 11/16 and a kerf fill 3 1/2: with an edge of 1/8 to trim there is one. One strip needs no edge.
    assert strips_across(Fraction(7, 2), Fraction(27, 16), eighth, eighth) == 1
    assert strips_across(Fraction(7, 2), Fraction(7, 2), eighth, eighth) == 1


@given(
    board=st.fractions(1, 12, max_denominator=64),
    share=st.fractions(Fraction(1, 50), 1, max_denominator=64),
    kerf=st.fractions(0, Fraction(1, 4), max_denominator=64),
)
def test_as_many_strips_as_fit_and_no_more(board: Fraction, share: Fraction, kerf: Fraction) -> None:
    strip = board * share
    n = strips_across(board, strip, kerf)
    assert n >= 1
    assert n * strip + (n - 1) * kerf <= board
    assert (n + 1) * strip + n * kerf > board


@given(quantity=st.integers(1, 5000), strips=st.integers(1, 12))
def test_blanks_give_every_strip_and_no_blank_is_too_many(quantity: int, strips: int) -> None:
    blanks = PieceNeed(
        build="",
        unit="in",
        part=square_part(),
        quantity=quantity,
        blank_length_in=Fraction(1),
        blank_width_in=Fraction(1),
        strips=strips,
    ).blanks
    assert blanks * strips >= quantity > (blanks - 1) * strips


@given(
    length=st.fractions(4, 80, max_denominator=64),
    width=st.fractions(Fraction(1, 2), 6, max_denominator=16),
    left=st.integers(-45, 45),
    right=st.integers(-45, 45),
    kerf=st.fractions(Fraction(1, 16), Fraction(1, 4), max_denominator=64),
    step=st.sampled_from([Fraction(1, 64), 1 / MM_PER_IN]),
)
def test_a_blank_holds_its_piece_and_the_slant_of_the_blade(
    length: Fraction, width: Fraction, left: int, right: int, kerf: Fraction, step: Fraction
) -> None:
    shape = Shape(
        length_in=length + 12,  # long enough that end cuts of 45 degrees do not meet
        width_in=width,
        thickness_in=Fraction(1),
        left_degrees=Fraction(left),
        right_degrees=Fraction(right),
    )
    found = blank_length_in(shape, kerf, step)
    if left == right == 0:
        assert found == shape.length_in
        return
    # Along the board a blade set over takes kerf / cos; the plan leaves one square kerf between two blanks.
    slant = float(kerf) / cos(radians(max(abs(left), abs(right))))
    needed = reach_in(shape) + slant - float(kerf)
    assert needed - 1e-8 <= found < needed + float(step)
    assert found % step == 0


def test_wood_weighs_what_is_published_for_a_cubic_foot() -> None:
    # Two pieces 6 x 12 x 12 in are a cubic foot.
    # Oregon State Univ. OWIC table, air-dry: western larch 36 lb/ft3, Douglas-fir 34 lb/ft3 (whole pounds).
    published = {row["id"]: row["expected_value"] for row in verified("wood_weight_examples.csv")}
    for species, row_id in (("western larch", "larch_western_air_dry"), ("Douglas-fir", "douglas_fir_air_dry")):
        cubic_foot = item_of(square_part(species=species, section="6 x 12 in", quantity=2))
        weight, unknown = weight_of((cubic_foot,))
        assert weight == pytest.approx(float(published[row_id]), abs=0.5)
        assert unknown == ()


def test_wood_of_a_specific_gravity_of_0_40_weighs_what_the_worked_example_prints() -> None:
    # Univ. of Missouri (D. R. Larsen), citing Wood Handbook GTR-190 ch. 4: 0.40 at 12 percent is 27.968 lb/ft3.
    # Ponderosa pine has 0.40 at 12 percent in Wood Handbook table 5-3a.
    (pine,) = [row for row in verified("wood_density.csv") if row["species_common"] == "ponderosa pine"]
    assert pine["sg_12pct_volume"] == "0.40"
    (example,) = [row for row in verified("wood_weight_examples.csv") if row["id"] == "example_larsen_imperial"]
    cubic_foot = item_of(square_part(species="ponderosa pine", section="6 x 12 in", quantity=2), quantity=3)
    weight, _ = weight_of((cubic_foot,))
    assert weight == pytest.approx(3 * float(example["expected_value"]), abs=3 * float(example["abs_tolerance"]))


def test_a_species_without_a_published_density_is_named_and_left_out() -> None:
    weight, unknown = weight_of((item_of(square_part(species="moonwood"), square_part(species="moonwood")),))
    assert (weight, unknown) == (0, ("moonwood",))


@given(first=st.integers(1, 400), more=st.integers(0, 400))
def test_a_larger_batch_never_takes_less_lumber(first: int, more: int) -> None:
    build = stands().items[0].build
    small = lumber_needs((OrderedBuild(build=build, quantity=first),), stands())
    large = lumber_needs((OrderedBuild(build=build, quantity=first + more),), stands())
    for one, other in zip(small, large, strict=True):
        assert one.board_feet <= other.board_feet
        assert one.net_volume_ft3 <= other.net_volume_ft3
