import csv
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.standards.fasteners import corrosion_note, find_nail, minimum_penetration_in, screw_diameter_in


def verified(table: str) -> list[dict[str, str]]:
    """Rows of a table in tests/reference that were seen in the text they name."""
    with (Path(__file__).parents[1] / "reference" / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["status"] == "verified"]


FASTENERS = verified("fasteners.csv")
SCREWS = [row for row in FASTENERS if row["kind"] == "wood_screw" and row["property"] == "nominal_diameter"]
NAILS = [row for row in FASTENERS if row["kind"].startswith("nail_")]


@pytest.mark.parametrize("row", SCREWS, ids=lambda row: row["size"])
def test_screw_diameters_are_the_published_ones(row: dict[str, str]) -> None:
    # GNU Units 3.22 (after ASME B18.6.1 and B18.6.3); public size lists; see the row's source.
    assert screw_diameter_in(int(row["size"].removeprefix("#"))) == Decimal(row["value"])


@pytest.mark.parametrize("gauge", [-1, 25, 150])
def test_a_gauge_that_no_screw_has_is_refused(gauge: int) -> None:
    with pytest.raises(ValueError, match="write a gauge from 0 to 24"):
        screw_diameter_in(gauge)


def test_a_screw_must_reach_six_diameters_into_the_second_piece() -> None:
    # NDS 2018 clause 12.1.5.6 (6 D, tip included), as implemented in the open-source xc library.
    (row,) = [row for row in FASTENERS if row["kind"] == "wood_screw" and row["property"] == "penetration_min"]
    # A number 8 screw is 0.164 in thick: 6 x 0.164 = 0.984 in.
    assert minimum_penetration_in(8) == int(row["value"]) * Decimal("0.164") == Decimal("0.984")


@pytest.mark.parametrize("row", NAILS, ids=lambda row: f"{row['kind']}-{row['size']}-{row['property']}")
def test_nails_have_the_published_sizes_and_counts(row: dict[str, str]) -> None:
    # toolsize.io nail chart; counts: woodtools.nov.ru, everything2.com, math.answers.com (an alternate figure).
    nail = find_nail(row["kind"].removeprefix("nail_"), row["size"])
    assert nail is not None
    printed = Decimal(row["value"])
    if row["property"] == "length":
        assert nail.length_in == printed
    elif row["property"] == "shank_diameter":
        assert nail.shank_diameter_in == printed
    else:
        # Sources differ, so the range must take in every printed count.
        assert nail.count_per_lb_low is not None
        assert nail.count_per_lb_high is not None
        assert nail.count_per_lb_low <= printed <= nail.count_per_lb_high


def test_a_nail_that_no_table_lists_is_not_made_up() -> None:
    assert find_nail("common", "7d") is None
    long_nail = find_nail("common", "60d")
    assert long_nail is not None
    assert long_nail.count_per_lb_low is None


@pytest.mark.parametrize("species", ["western redcedar", "white oak", "redwood"])
@pytest.mark.parametrize("material", ["steel", "Zinc-plated steel", "bright", "galvanized"])
def test_bare_or_thinly_plated_steel_on_tannin_is_warned_of(species: str, material: str) -> None:
    # USDA FPL Lab Notes quoting the Wood Handbook: plain steel stains cedar, oak and redwood blue-black.
    note = corrosion_note(species, material)
    assert note is not None
    assert species in note
    assert "blue-black" in note
    assert "stainless" in note


@pytest.mark.parametrize(
    "material",
    ["stainless steel", "A2", "stainless 316", "hot-dip galvanized steel", "Hot dipped galvanised", "silicon bronze"],
)
def test_resistant_fasteners_need_no_warning(material: str) -> None:
    for species in ("western redcedar", "white oak", "pressure-treated pine", "Douglas-fir"):
        assert corrosion_note(species, material) is None


def test_plain_steel_in_wood_without_much_tannin_needs_no_warning() -> None:
    assert corrosion_note("Douglas-fir", "zinc-plated steel") is None
    assert corrosion_note("untreated pine", "steel") is None


def test_treated_wood_wants_hot_dip_and_no_aluminum() -> None:
    # USDA Forest Service T&D publication 0677-2809: ASTM A153 hot-dip; keep aluminum from copper-treated wood.
    plated = corrosion_note("pressure-treated pine", "zinc-plated steel")
    assert plated is not None
    assert "ASTM A153" in plated
    aluminum = corrosion_note("pressure-treated pine", "aluminium")
    assert aluminum is not None
    assert "aluminum" in aluminum
    assert corrosion_note("western redcedar", "aluminium") is None


def test_wood_without_iron_in_it_needs_no_warning() -> None:
    assert corrosion_note("white oak", "nylon") is None
