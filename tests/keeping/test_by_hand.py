import shutil
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import EstimatorError, Findings
from estimator.keeping.by_hand import ChangedByHand, changes_by_hand
from estimator.keeping.changes import Change, Changes
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import read_shop

GOOD = Path(__file__).parents[1] / "broken" / "_good"
TODAY = date(2026, 11, 24)
LARCH = "Fernhill Sawmill Yard,western larch,Select,1x4,{feet} ft,{price},each,{day}\n"
HEAD = "supplier,species,grade,section,length,price,per,date\n"
FIRST = (
    HEAD
    + LARCH.format(feet=8, price="10.00", day="2026-10-02")
    + LARCH.format(feet=12, price="16.00", day="2026-10-02")
)


class Shop:
    """A shop whose lumber is two boards, kept by hand."""

    def __init__(self, folder: Path) -> None:
        shutil.copytree(GOOD, folder)
        self.folder = folder
        self.tables = folder / "price_tables"
        for name in ("hardware", "finishes", "consumables", "labour_rates"):
            (self.tables / f"{name}.csv").unlink()
        self.history = self.tables / "price_history.csv"
        self.write(FIRST)

    def write(self, lumber: str) -> None:
        (self.tables / "lumber.csv").write_text(lumber, encoding="utf-8")

    def changed(self, today: date = TODAY, findings: Findings | None = None) -> ChangedByHand:
        findings = findings or Findings()
        shop = read_shop(self.folder / "shop.toml", findings)
        changed = changes_by_hand(shop, read_price_tables(shop, findings), today, findings)
        findings.raise_faults()
        return changed

    def enter(self, *, jumps: bool = False) -> ChangedByHand:
        """Enter what changed, and return what it was."""
        changed = self.changed()
        changes = changed.changes
        some = (*changes.new, *changes.gone, *changes.up, *changes.down)
        changed.enter([one for one in some if jumps or not one.jump])
        return changed

    def entries(self) -> list[str]:
        return self.history.read_text(encoding="utf-8-sig").splitlines()[1:]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path / "shop")


def found(changes: tuple[Change, ...]) -> list[tuple[str, Decimal | None, Decimal | None, Decimal | None]]:
    return [(one.item, one.old_price, one.new_price, one.percent) for one in changes]


def test_the_first_time_all_is_new_and_entered_with_its_own_day_and_line(shop: Shop) -> None:
    changed = shop.enter()
    assert len(changed.changes.new) == 2
    assert all(map(changed.is_first, changed.changes.new))
    assert shop.entries() == [
        '2026-10-02,lumber,Fernhill Sawmill Yard,"western larch Select 1x4, 8 ft",,10.00,each,lumber.csv:2',
        '2026-10-02,lumber,Fernhill Sawmill Yard,"western larch Select 1x4, 12 ft",,16.00,each,lumber.csv:3',
    ]


def test_it_is_the_first_time_until_most_prices_are_entered(shop: Shop) -> None:
    changed = shop.changed()
    (eight, _) = changed.changes.new
    changed.enter([eight])
    assert not shop.changed().first_tables
    shop.write(FIRST + FIRST.removeprefix(HEAD).replace("1x4", "1x6"))
    assert shop.changed().first_tables


def test_what_went_up_and_down_is_told_with_its_percent(shop: Shop) -> None:
    shop.enter()
    # 11.00 for 10.00 is a tenth more; 15.00 for 16.00 is 1/16 = 6.25 % less, rounded half up away from zero.
    shop.write(
        FIRST.replace("10.00,each,2026-10-02", "11.00,each,2026-11-20").replace("16.00,each,2026-10", "15,each,2026-11")
    )
    changes = shop.enter().changes
    assert found(changes.up) == [("western larch Select 1x4, 8 ft", Decimal(10), Decimal(11), Decimal("10.0"))]
    assert found(changes.down) == [("western larch Select 1x4, 12 ft", Decimal(16), Decimal(15), Decimal("-6.3"))]
    assert changes.new == changes.gone == changes.jumps == ()
    assert shop.entries()[2:] == [
        '2026-11-20,lumber,Fernhill Sawmill Yard,"western larch Select 1x4, 8 ft",10.00,11.00,each,lumber.csv:2',
        '2026-11-02,lumber,Fernhill Sawmill Yard,"western larch Select 1x4, 12 ft",16.00,15.00,each,lumber.csv:3',
    ]


def test_a_change_too_small_for_its_percent_is_a_change(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("16.00,each,2026-10-02", "16.001,each,2026-11-20"))
    (up,) = shop.enter().changes.up
    assert (up.new_price, up.percent) == (Decimal("16.001"), Decimal("0.0"))
    assert shop.enter().changes == Changes()


def test_a_jump_is_entered_only_when_it_is_meant(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("10.00", "12.51"))  # a quarter, which is the limit, would be 12.50
    assert [one.item for one in shop.enter().changes.jumps] == ["western larch Select 1x4, 8 ft"]
    assert len(shop.entries()) == 2
    assert shop.enter(jumps=True).changes.jumps
    assert shop.changed().changes.jumps == ()


def test_a_row_that_went_is_gone_once_and_new_when_it_is_back(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.rpartition("Fernhill")[0])
    assert found(shop.enter().changes.gone) == [("western larch Select 1x4, 12 ft", Decimal(16), None, None)]
    assert shop.entries()[-1].startswith("2026-11-24,lumber,")
    assert shop.entries()[-1].endswith(",16.00,,each,lumber.csv")
    assert shop.enter().changes.gone == ()
    shop.write(FIRST)
    findings = Findings()
    assert [one.item for one in shop.changed(findings=findings).changes.new] == ["western larch Select 1x4, 12 ft"]
    assert not [one for one in findings.notices if "date" in one.message]
    shop.enter()
    assert shop.entries()[-1].startswith("2026-11-24,")


TAKEN = HEAD.replace("date", "date,taken_from") + LARCH.format(feet=12, price="16.00", day="2026-10-02").replace(
    "\n", ",yard.csv:2\n"
)


def test_a_row_that_moved_into_a_table_taken_over_is_not_gone_and_goes_on(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.rpartition("Fernhill")[0])
    (shop.tables / "lumber-fernhill.csv").write_text(TAKEN, encoding="utf-8")
    assert shop.changed().changes == Changes()


def test_a_table_taken_over_and_changed_by_hand_is_compared_too(shop: Shop) -> None:
    shop.write(FIRST.rpartition("Fernhill")[0])
    fernhill = shop.tables / "lumber-fernhill.csv"
    fernhill.write_text(TAKEN, encoding="utf-8")
    assert all(map(shop.changed().is_first, shop.enter().changes.new))
    fernhill.write_text(TAKEN.replace("16.00,each,2026-10", "17.60,each,2026-11"), encoding="utf-8")
    assert found(shop.enter().changes.up) == [
        ("western larch Select 1x4, 12 ft", Decimal(16), Decimal("17.6"), Decimal("10.0"))
    ]
    assert shop.entries()[-1].endswith(",16.00,17.60,each,lumber-fernhill.csv:2")
    fernhill.unlink()
    assert shop.enter().changes.gone
    assert shop.entries()[-1].endswith(",17.60,,each,lumber-fernhill.csv")


def test_what_a_list_brought_is_gone_with_its_row_and_that_of_another_supplier_is_not_it(shop: Shop) -> None:
    shop.enter()
    with shop.history.open("a", encoding="utf-8") as history:
        history.write('2026-11-01,lumber,Holm,"western larch Select 1x4, 8 ft",,7.00,each,march.xlsx\n')
    (gone,) = shop.changed().changes.gone
    assert gone.old_price == Decimal(7)


# 8 ft of a 1x4 are 2 2/3 board feet: 10.00 each are 1.25 a foot and 3.75 a board foot.
@pytest.mark.parametrize(("price", "per"), [("1.25", "ft"), ("3.75", "bf"), ("3750", "MBF"), ("125", "100 ft")])
def test_the_same_price_per_another_measure_has_not_changed(price: str, per: str, shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("10.00,each", f"{price},{per}"))
    assert shop.changed().changes == Changes()


def test_a_price_per_another_measure_is_compared_in_that(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("10.00,each,2026-10", "1.50,ft,2026-11"))
    changes = shop.enter().changes
    assert found(changes.up) == [("western larch Select 1x4, 8 ft", Decimal("1.25"), Decimal("1.5"), Decimal("20.0"))]
    assert changes.new == changes.gone == ()
    assert shop.entries()[-1].endswith(",1.25,1.50,ft,lumber.csv:2")


@pytest.mark.parametrize("length", ["8 ft", "random"])
def test_board_feet_written_as_thousands_of_them_at_the_same_figure_are_a_jump(length: str, shop: Shop) -> None:
    shop.write(FIRST.replace("8 ft,10.00,each", f"{length},10.00,bf"))
    shop.enter()
    shop.write(FIRST.replace("8 ft,10.00,each", f"{length},10.00,MBF"))
    changes = shop.changed().changes
    (jump,) = changes.jumps
    assert (jump.old_price, jump.new_price, jump.percent) == (Decimal(10_000), Decimal(10), Decimal("-99.9"))
    assert changes.new == changes.gone == ()


def test_random_lengths_by_the_board_foot_and_by_the_cubic_metre_are_two_items(shop: Shop) -> None:
    shop.write(FIRST.replace("8 ft,10.00,each", "random,10.00,bf"))
    shop.enter()
    shop.write(FIRST.replace("8 ft,10.00,each", "random,4000,m3"))
    changes = shop.changed().changes
    assert len(changes.new) == len(changes.gone) == 1


def test_an_entry_per_what_nothing_is_priced_per_is_compared_with_nothing(shop: Shop) -> None:
    shop.enter()
    shop.history.write_text(shop.history.read_text(encoding="utf-8").replace("10.00,each", "10.00,bundle"))
    (new,) = shop.changed().changes.new
    assert (new.old_price, new.new_price) == (None, Decimal(10))


def test_labour_rates_are_entered_and_watched_whatever_the_shop_is_called(shop: Shop) -> None:
    rates = shop.tables / "labour_rates.csv"
    rates.write_text("rate,per_hour,date\nHelper,20.00,2026-10-02\n", encoding="utf-8")
    shop.enter()
    name = read_shop(shop.folder / "shop.toml", Findings()).name
    assert shop.entries()[-1] == f"2026-10-02,labour_rates,{name},labour rate Helper,,20.00,hour,labour_rates.csv:2"
    rates.write_text("rate,per_hour,date\nHelper,26.00,2026-11-02\n", encoding="utf-8")
    settings_ = shop.folder / "shop.toml"
    settings_.write_text(settings_.read_text(encoding="utf-8").replace(name, f"New {name}"), encoding="utf-8")
    changes = shop.changed().changes
    assert found(changes.jumps) == [("labour rate Helper", Decimal(20), Decimal(26), Decimal("30.0"))]
    assert changes.gone == ()


def test_where_tables_have_faults_nothing_is_gone(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("10.00", "dear"))
    findings = Findings()
    settings_ = read_shop(shop.folder / "shop.toml", findings)
    assert changes_by_hand(settings_, read_price_tables(settings_, findings), TODAY, findings).changes == Changes()
    assert findings.faults


def test_a_day_to_come_that_is_mended_with_the_price_is_no_date_left_as_it_was(shop: Shop) -> None:
    shop.write(FIRST.replace("10.00,each,2026", "10.00,each,2027"))
    shop.enter()
    shop.write(FIRST.replace("10.00,each,2026-10-02", "11.00,each,2026-11-20"))
    findings = Findings()
    shop.changed(findings=findings)
    assert not [one for one in findings.notices if "date" in one.message]
    shop.enter()
    assert shop.entries()[-1].startswith("2026-11-20,")


def test_what_was_entered_for_a_day_to_come_is_gone_today(shop: Shop) -> None:
    shop.write(FIRST.replace("16.00,each,2026", "16.00,each,2027"))
    shop.enter()
    shop.write(FIRST.rpartition("Fernhill")[0])
    shop.enter()
    assert shop.entries()[-1].startswith("2026-11-24,")


def test_a_renamed_item_is_new(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("Select,1x4,8", "Common,1x4,8"))
    changes = shop.enter().changes
    assert [one.item for one in changes.new] == ["western larch Common 1x4, 8 ft"]
    assert [one.item for one in changes.gone] == ["western larch Select 1x4, 8 ft"]


def test_a_price_that_a_list_entered_is_compared_with(shop: Shop) -> None:
    shop.history.write_text(
        "day,table,supplier,item,old_price,new_price,per,source\n"
        '2026-09-01,lumber,fernhill sawmill yard,"western larch Select 1x4, 8 ft",,8.00,each,yard.csv\n',
        encoding="utf-8",
    )
    changed = shop.changed()
    assert found(changed.changes.up) == [("western larch Select 1x4, 8 ft", Decimal(8), Decimal(10), Decimal("25.0"))]


def test_a_price_whose_date_was_left_counts_from_today_and_it_says_so(shop: Shop) -> None:
    shop.enter()
    shop.write(FIRST.replace("10.00", "11.00").replace("16.00", "15.00"))
    findings = Findings()
    shop.changed(findings=findings)
    (notice,) = [one for one in findings.notices if "dates did not" in one.message]
    assert notice.message.startswith("2 prices changed and their dates did not")
    assert notice.origin.line == 2
    shop.enter()
    assert [entry.partition(",")[0] for entry in shop.entries()[2:]] == ["2026-11-24", "2026-11-24"]


def test_a_history_that_cannot_be_read_is_a_fault_and_stays(shop: Shop) -> None:
    shop.history.write_text("day,item\nsoon,oak\n", encoding="utf-8")
    with pytest.raises(EstimatorError, match=r"price_history\.csv:1: the column"):
        shop.changed()


def test_a_history_that_cannot_be_written_stays_as_it_was(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.enter()
    before = shop.history.read_bytes()
    shop.write(FIRST.replace("10.00", "11.00"))

    def refused(path: Path, _: bytes) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("estimator.whole_files._write_durably", refused)
    with pytest.raises(EstimatorError, match="cannot be written"):
        shop.enter()
    assert shop.history.read_bytes() == before


def test_a_supplier_in_another_currency_is_entered_in_that(shop: Shop) -> None:
    (shop.tables / "suppliers.toml").write_text(
        '[[suppliers]]\nname = "Fernhill Sawmill Yard"\ncurrency = "JPY"\nrate = 0.0065\nrate_date = 2026-11-01\n',
        encoding="utf-8",
    )
    shop.write(FIRST.replace("10.00", "1500").replace("16.00", "2400"))
    changed = shop.enter()
    assert [changed.prices(one)[1] for one in changed.changes.new] == ["JPY 1,500", "JPY 2,400"]
    assert shop.changed().changes == Changes()


PRICES = st.decimals(min_value="0.000001", max_value=90_000, places=8, allow_nan=False).map(lambda one: f"{one:.8f}")
DAYS = st.dates(min_value=date(2020, 1, 1), max_value=date(2027, 12, 31))
ROWS = st.dictionaries(
    st.tuples(st.sampled_from(["oak", "ash", "Larch, air-dried"]), st.integers(6, 9), st.sampled_from(["each", "ft"])),
    st.tuples(PRICES, DAYS),
    max_size=6,
)


@settings(max_examples=40, deadline=None)
@given(st.lists(ROWS, min_size=1, max_size=3))
def test_what_was_entered_has_not_changed(
    tmp_path_factory: pytest.TempPathFactory, tables: list[dict[tuple[str, int, str], tuple[str, date]]]
) -> None:
    shop = Shop(tmp_path_factory.mktemp("shop") / "shop")
    for rows in tables:
        lines = {
            (species, feet): f'Yard,"{species}",,2x4,{feet} ft,{price},{per},{day}\n'
            for (species, feet, per), (price, day) in rows.items()
        }
        shop.write(HEAD + "".join(lines.values()))
        shop.enter(jumps=True)
        assert shop.changed().changes == Changes()
