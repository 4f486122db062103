import shutil
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import EstimatorError
from estimator.reading.order import Order, only_build, read_order
from estimator.reading.part_shape import parse_corners
from estimator.reading.parts import Coated, Hidden, parse_coated, parse_hidden

GOOD = Path(__file__).parents[1] / "broken" / "_good"
TODAY = date(2026, 12, 1)


def read(folder: Path, quantity: int | None = None) -> Order:
    return read_order(folder, today=TODAY, quantity=quantity)


def faults(folder: Path) -> list[str]:
    with pytest.raises(EstimatorError) as caught:
        read(folder)
    return [str(fault).removeprefix(f"{folder}/") for fault in caught.value.faults]


@pytest.fixture
def order(tmp_path: Path) -> Path:
    folder = tmp_path / "order"
    shutil.copytree(GOOD, folder)
    return folder


def replace(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_an_order_is_read_from_its_folder_or_its_file() -> None:
    assert read(GOOD) == read(GOOD / "order.toml")
    assert [(item.quantity, item.build.name) for item in read(GOOD).items] == [(6, "Stool"), (2, "Bench")]
    assert read(GOOD).day == date(2026, 11, 24)


def test_one_build_is_read_as_an_order_of_its_own_with_the_shop_above_it() -> None:
    order = read(GOOD / "stool", 12)
    assert [(item.quantity, item.build.name) for item in order.items] == [(12, "Stool")]
    assert (order.title, order.day, order.shop.name) == ("Stool", TODAY, "Rookery Joinery")
    assert read(GOOD / "stool").items[0].quantity == 1


def test_a_build_of_an_order_can_be_asked_for_alone() -> None:
    order = read(GOOD)
    alone = only_build(order, order.items[1], 24)
    assert [(item.quantity, item.build.name) for item in alone.items] == [(24, "Bench")]
    assert alone.shop == order.shop


def test_a_folder_with_nothing_in_it_is_refused(tmp_path: Path) -> None:
    with pytest.raises(
        EstimatorError, match=r"holds no order and no build; name a folder with order\.toml or build\.toml"
    ):
        read(tmp_path)


def test_values_are_what_the_lists_say() -> None:
    leg, rail, slat, end = read(GOOD).items[0].build.parts
    assert leg.shape.length_in == 17
    assert leg.shape.left_degrees == leg.shape.right_degrees == 5
    assert (leg.shape.width_in, leg.shape.thickness_in) == (Fraction(3, 2), Fraction(3, 2))  # a dressed 2x2
    assert rail.shape.width_in == Fraction(5, 2)
    assert slat.hidden == (Hidden(surface="faces", area_in2=Fraction(21, 2)),)
    assert [clip.corner for clip in end.shape.clips] == ["top right", "top left"]
    seat, _ = read(GOOD).items[1].build.parts
    assert seat.shape.length_in == 1200 / Fraction("25.4")
    assert seat.section.width_in is None


def test_a_saw_may_take_no_trim_and_any_left_over_may_be_kept(order: Path) -> None:
    replace(order / "shop.toml", 'end_trim = "1/2 in"\nusable_offcut = "16 in"', "end_trim = 0\nusable_offcut = 0")
    saw = read(order).shop.saw
    assert saw.end_trim_in == saw.usable_offcut_in == 0


def test_without_its_unit_a_build_s_lengths_are_not_judged(order: Path) -> None:
    replace(order / "bench" / "build.toml", 'unit = "mm"', "")
    replace(order / "bench" / "parts.csv", "1200", "5000")
    assert faults(order) == ["bench/build.toml: unit: is missing; fill it in"]


def test_without_the_shop_s_unit_the_lengths_of_the_price_tables_are_not_judged(order: Path) -> None:
    replace(order / "shop.toml", 'unit = "in"', 'unit = "metric"')
    replace(order / "price_tables" / "lumber.csv", "8 ft", "3600")
    replace(order / "stool" / "parts.csv", "2x2,17,", "2x2,a little,")
    assert [fault.partition(":")[0] for fault in faults(order)] == ["shop.toml", "stool/parts.csv"]


def test_faults_of_a_part_do_not_bring_others_that_follow_from_them(order: Path) -> None:
    replace(order / "stool" / "parts.csv", "2x4,11,2 1/2,,", "2x4?,11,9,80,")
    assert [fault.split(": ")[1] for fault in faults(order)] == ["section", "left_end"]


def test_a_row_with_too_many_cells_has_no_other_faults(order: Path) -> None:
    replace(order / "stool" / "labour.csv", "Crosscut,cut", "Crosscut, both ends,cut")
    replace(order / "stool" / "labour.csv", "Maker,,", "Maker,,,stop block,")
    (fault,) = faults(order)
    assert '"stop block" stands under no heading' in fault


def test_price_tables_that_are_not_there_are_empty(order: Path) -> None:
    (order / "price_tables" / "consumables.csv").unlink()
    assert read(order).prices.consumables == ()


def test_a_misspelt_build_folder_too_long_for_any_file_system_is_a_fault(order: Path) -> None:
    replace(order / "order.toml", '"bench"', f'"{"b" * 5000}"')
    (fault,) = faults(order)
    assert "holds no build.toml" in fault


@pytest.mark.parametrize(
    "text", ["all", "All", "faces, edges, ends", "faces + edges + ends", "faces and edges and ends"]
)
def test_surfaces_can_be_named_in_several_ways(text: str) -> None:
    assert parse_coated(text) == Coated(faces=2, edges=True, ends=True)


def test_some_surfaces_or_none_can_be_coated() -> None:
    assert parse_coated("one face; edges") == Coated(faces=1, edges=True, ends=False)
    assert parse_coated("none") == Coated(faces=0, edges=False, ends=False)
    for text in ("", "top", "all, ends", "none + faces"):
        with pytest.raises(ValueError, match="names no surfaces; write all, none"):
            parse_coated(text)


def test_corners_are_named_by_their_place() -> None:
    assert parse_corners("Top Left + bottom right") == ("bottom right", "top left")
    assert len(parse_corners("all")) == 4
    for text in ("left", "top left + top left", "top left, front", ""):
        with pytest.raises(ValueError, match="names no corners; write all, or some of bottom left"):
            parse_corners(text)


def test_hidden_areas_are_counted_by_surface() -> None:
    # 2 x 1 1/2 x 3 1/2 = 10 1/2 square inches on the edges, 4 on the ends, 1 x 1 on the faces.
    found = parse_hidden("2 @ 1 1/2 x 3 1/2 on edges + 4 in2 on ends + 1 x 1", unit="in", decimal_comma=False)
    assert found == (
        Hidden(surface="edges", area_in2=Fraction(21, 2)),
        Hidden(surface="ends", area_in2=Fraction(4)),
        Hidden(surface="faces", area_in2=Fraction(1)),
    )
    for text in ("", "2 @", "+", "1 x 1 on top", "99999 @ 1 x 1"):
        with pytest.raises(ValueError, match="; write "):
            parse_hidden(text, unit="in", decimal_comma=False)
