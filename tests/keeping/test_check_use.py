import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from estimator.errors import EstimatorError, Findings
from estimator.estimate import estimate
from estimator.keeping import check
from estimator.keeping.check import PriceCheck, check_prices
from estimator.keeping.checking import builds
from estimator.reading.order import read_order
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import read_shop

BROKEN = Path(__file__).parents[1] / "broken"
HAND_WORKED = Path(__file__).parents[1] / "hand_worked"
TODAY = date(2026, 11, 24)
NO_PRICE = ("has no price for", "has no rate")
CASES_OF_MISSING_PRICES = [
    "31_several_prices_missing",
    "33_species_misspelt",
    "51_labour_rate_unknown",
    "52_spreading_rate_missing",
    "132_thinner_and_cleaner_without_a_price",
    "133_hardener_without_a_price",
    "144_sanding_without_prices",
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a sound shop with two builds, which is the one stood in."""
    shutil.copytree(BROKEN / "_good", tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    return tmp_path / "shop"


def checked(folder: Path, given: Path | None = None) -> PriceCheck:
    findings = Findings()
    shop = read_shop(folder / "shop.toml", findings)
    tables = read_price_tables(shop, findings)
    findings.raise_faults()
    return check_prices(tables, shop, given or folder, TODAY)


def missing(found: PriceCheck) -> list[str]:
    return [str(one) for group in found.doubts if group.heading == check.MISSING for one in group.notices]


def append(path: Path, *rows: str) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.writelines(f"{row}\n" for row in rows)


def swap(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_shop_whose_builds_use_all_and_miss_nothing(folder: Path) -> None:
    found = checked(folder)
    assert [build.name for build in found.builds.builds] == ["Bench", "Stool"]
    assert (missing(found), found.unused, found.unreadable) == ([], (), ())


def test_what_a_build_asks_for_and_no_table_has_is_told_with_the_nearest_name(folder: Path) -> None:
    append(folder / "stool/hardware.csv", "screw,#8,2,stainles,cleat,2,2,")
    (told,) = missing(checked(folder))
    assert told.startswith("stool/hardware.csv:5: hardware.csv has no price for screw #8 x 2 in, stainles")
    assert told.endswith('(did you mean "screw #8 x 2 in, stainless"?)')


def test_an_item_that_several_builds_ask_for_is_told_once(folder: Path) -> None:
    for build in ("bench", "stool"):
        (folder / build / "consumables.csv").write_text("item,per,amount\nPeg,unit,1\n", encoding="utf-8")
    assert missing(checked(folder)) == ['bench/consumables.csv:2: consumables.csv has no price for "Peg"']


@pytest.mark.parametrize("case", CASES_OF_MISSING_PRICES)
def test_the_same_prices_are_missing_as_a_quote_says(case: str, folder: Path) -> None:
    shutil.copytree(BROKEN / case, folder, dirs_exist_ok=True)
    for name in (folder / "removed.txt").read_text().splitlines() if (folder / "removed.txt").exists() else ():
        (folder / name).unlink()
    with pytest.raises(EstimatorError) as caught:
        estimate(read_order(folder, today=TODAY))
    of_quote = {
        fault.message.partition(";")[0] for fault in caught.value.faults if any(w in fault.message for w in NO_PRICE)
    }
    of_check = {line.partition(": ")[2].partition(";")[0] for line in missing(checked(folder))}
    assert of_quote
    assert of_quote <= of_check


def test_wood_on_hand_is_not_missing(folder: Path) -> None:
    append(folder / "bench/parts.csv", "Shelf,1,plum,,2x4,430,,none")
    assert len(missing(checked(folder))) == 1
    (folder / "stock.csv").write_text("species,section,length,quantity\nplum,2x4,8 ft,1\n", encoding="utf-8")
    assert missing(checked(folder)) == []


def test_what_the_shop_itself_uses_is_asked_for_too(folder: Path) -> None:
    append(folder / "shop_labour.csv", "Sweep,order,10,0,Apprentice,")
    (folder / "shop_consumables.csv").write_text("item,per,amount\nGloves,order,1\n", encoding="utf-8")
    append(
        folder / "shop.toml",
        '[sanding]\nrate = "Sander"',
        '[[sanding.grits]]\ngrit = 120\nitem = "Disc"\narea_per_piece = "6 ft2"\nminutes_per_ft2 = 1',
    )
    assert missing(checked(folder)) == [
        'shop_consumables.csv:2: consumables.csv has no price for "Gloves"',
        'shop.toml:39: consumables.csv has no price for "Disc"',
        'shop_labour.csv:3: labour_rates.csv has no rate "Apprentice"',
        'shop.toml:38: labour_rates.csv has no rate "Sander"',
    ]


def test_nothing_is_planned(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def plan(*_arguments: object) -> None:
        raise AssertionError("a cutting plan was asked for")

    monkeypatch.setattr("estimator.buying.lumber.buy_boards", plan)
    monkeypatch.setattr("estimator.buying.packed.cheapest_packs", plan)
    assert missing(checked(folder)) == []


def test_what_no_build_uses_is_named_with_its_line(folder: Path) -> None:
    tables = folder / "price_tables"
    append(tables / "lumber.csv", "Fernhill Sawmill Yard,plum,,2x4,8 ft,14.00,each,2026-10-02,")
    append(tables / "lumber.csv", "Fernhill Sawmill Yard,plum,,2x4,10 ft,18.00,each,2026-10-02,")
    append(tables / "labour_rates.csv", "Master,50.00,2026-07-01,")
    append(tables / "spread_rates.csv", "Varnish,smooth,any,300 ft2/gal,can label")
    (tables / "finish_products.csv").write_text("product,kind\nVarnish,solvent-borne\n", encoding="utf-8")
    assert [str(notice) for notice in checked(folder).unused] == [
        "price_tables/lumber.csv: 1 of 5 is in no build: plum 2x4 (line 8)",
        "price_tables/finish_products.csv: 1 of 1 is in no build: Varnish (line 2)",
        "price_tables/spread_rates.csv: 1 of 3 is in no build: Varnish on smooth wood (line 4)",
        "price_tables/labour_rates.csv: 1 of 3 is in no build: Master (line 4)",
    ]


def test_of_much_that_no_build_uses_the_first_ten_are_named(folder: Path) -> None:
    rows = [f"Bramble Lane Hardware,Item {n},1,piece,1.00,2026-09-15," for n in range(1, 31)]
    append(folder / "price_tables/consumables.csv", *rows)
    (told,) = checked(folder).unused
    assert told.message.startswith("30 of 31 are in no build: Item 1 (line 3), Item 2 (line 4)")
    assert told.message.endswith("Item 10 (line 12) and 20 more")


def test_of_a_suppliers_whole_list_only_the_count_is_told(folder: Path) -> None:
    rows = [f"Long Yard,wood {n},,2x4,8 ft,14.00,each,2026-10-02,long.csv:{n}" for n in range(1, 1201)]
    list_ = folder / "price_tables/lumber-long.csv"
    list_.write_text("supplier,species,grade,section,length,price,per,date,taken_from\n", encoding="utf-8")
    append(list_, *rows, "Long Yard,western larch,Select,2x4,8 ft,14.00,each,2026-10-02,long.csv:1201")
    assert [str(notice) for notice in checked(folder).unused] == [
        "price_tables/lumber-long.csv: 1,200 of 1,201 are in no build; that is usual for a supplier's whole list"
    ]


def test_a_build_that_cannot_be_read_is_counted_and_the_rest_is_checked(folder: Path) -> None:
    swap(folder / "bench/parts.csv", "1200", "1 200 x")
    append(folder / "stool/hardware.csv", "rivet,3 mm,,steel,cleat,2,2,")
    found = checked(folder)
    assert [(one.path.name, one.faults) for one in found.unreadable] == [("bench", 1)]
    assert len(missing(found)) == 1


def test_a_list_of_boards_on_hand_that_cannot_be_read_is_told(folder: Path) -> None:
    (folder / "stock.csv").write_text("species,section,length,quantity\nplum,2x4,8 ft,many\n", encoding="utf-8")
    assert [(one.path.name, one.faults) for one in checked(folder).unreadable] == [("stock.csv", 1)]


Move = Callable[[Path], object]


@pytest.mark.parametrize(
    "hide",
    [
        pytest.param(lambda shop: (shop / "bench").rename(shop / ".bench"), id="hidden"),
        pytest.param(lambda shop: shutil.copy(shop / "shop.toml", shop / "bench"), id="of another shop"),
        pytest.param(
            lambda shop: (
                (shop / "bench").rename(shop.parent / "bench").parent.joinpath("shop/link").symlink_to("../bench")
            ),
            id="behind a link",
        ),
    ],
)
def test_builds_that_are_not_of_the_shop_are_passed_over(hide: Move, folder: Path) -> None:
    hide(folder)
    assert [build.name for build in checked(folder).builds.builds] == ["Stool"]


def test_the_folder_that_is_given_counts_even_where_it_is_hidden(folder: Path) -> None:
    (folder / "bench").rename(folder / ".bench")
    found = checked(folder, folder / ".bench")
    assert [build.name for build in found.builds.builds] == ["Stool", "Bench"]


def test_builds_far_below_are_found(folder: Path) -> None:
    (folder / "designs/garden").mkdir(parents=True)
    (folder / "bench").rename(folder / "designs/garden/bench")
    assert [build.name for build in checked(folder).builds.builds] == ["Bench", "Stool"]


def test_only_so_many_folders_are_looked_into(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(builds, "MOST_FOLDERS", 2)  # the shop's own and the first below
    found = checked(folder).builds
    assert [build.name for build in found.builds] == ["Bench"]
    assert not found.is_all


def test_two_builds_of_one_name_are_both_read(folder: Path) -> None:
    shutil.copytree(folder / "stool", folder / "stool_2")
    assert len(checked(folder).builds.builds) == 3


@pytest.mark.parametrize("order", ["plant_stands", "sanded_benches"])
def test_the_shops_worked_by_hand_miss_nothing_and_have_no_price_out_of_line(order: str) -> None:
    found = checked(HAND_WORKED / order)
    assert [group.heading for group in found.doubts] == ["Old prices and odd dates"]  # their prices are old by now
    assert found.unused == ()
