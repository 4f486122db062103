import csv
import io
import shutil
from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.errors import EstimatorError, Findings, Notice
from estimator.keeping.history import last_entries, read_history
from estimator.keeping.supplier_map import read_supplier_map
from estimator.keeping.take_over import TakeOver, take_over
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import read_shop

GOOD = Path(__file__).parents[1] / "broken" / "_good"
DAY = date(2026, 11, 24)
MAP = """
supplier = "Bramble Lane Timber"
table = "lumber"
[columns]
species = "Timber"
section = "Size"
length = "Length"
price = "Price"
per = "Per"
"""
HEAD = "Timber,Size,Length,Price,Per\n"
FIRST = f"{HEAD}oak,2x4,8 ft,10.00,each\noak,2x4,10 ft,12.50,each\noak,2x6,8 ft,20.00,each\nash,8/4,random,9.00,bf\n"


class Yard:
    """A shop with a map of one supplier."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "shop"
        shutil.copytree(GOOD, self.folder)
        self.tables = self.folder / "price_tables"
        self.table = self.tables / "lumber-bramble.csv"
        self.history = self.tables / "price_history.csv"
        self.map_path = self.tables / "bramble.map.toml"
        self.map_path.write_text(MAP, encoding="utf-8")
        self.notices: Sequence[Notice] = ()  # of the last list

    def take(self, content: str | bytes, name: str = "yard.csv", day: date = DAY) -> TakeOver:
        findings = Findings()
        shop = read_shop(self.folder / "shop.toml", findings)
        map_ = read_supplier_map(self.map_path, findings)
        findings.raise_faults()
        raw = content if isinstance(content, bytes) else content.encode()
        taken = take_over(raw, name, day, map_, self.tables, shop, findings)
        assert tuple(findings.faults) == taken.faults
        self.notices = findings.notices
        return taken

    def files(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.tables.iterdir()}

    def quoted_from(self) -> dict[str, Decimal]:
        """Return what a quote reads: the prices of this supplier by what they are for."""
        findings = Findings()
        tables = read_price_tables(read_shop(self.folder / "shop.toml", findings), findings)
        findings.raise_faults()
        rows = [row for row in tables.lumber if row.supplier == "Bramble Lane Timber"]
        return {f"{row.species} {row.section.text} {row.length_in}": row.price for row in rows}


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return Yard(tmp_path)


def rows(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))


def test_the_first_list_is_all_new_and_becomes_a_table_that_a_quote_reads(yard: Yard) -> None:
    taken = yard.take(FIRST)
    assert taken.is_safe
    assert [one.item for one in taken.changes.new][:2] == ["oak 2x4, 8 ft", "oak 2x4, 10 ft"]
    assert len(taken.changes.new) == len(taken.rows) == 4
    assert not yard.table.exists()
    taken.write()
    head, first, *_ = rows(yard.table.read_bytes())
    assert head[-1] == "taken_from"
    assert first[-1] == "yard.csv:2"
    assert yard.quoted_from()["oak 2x4 96"] == Decimal("10.00")
    assert not taken.kept_path.exists()


def test_the_next_list_is_compared_and_the_former_table_kept(yard: Yard) -> None:
    yard.take(FIRST).write()
    before = yard.table.read_bytes()
    second = FIRST.replace("10.00", "11.00").replace("12.50", "11.25").replace("oak,2x6,8 ft,20.00,each\n", "")
    taken = yard.take(f"{second}elm,2x4,8 ft,7.00,each\n", day=date(2026, 12, 1))
    (up,), (down,), (new,), (gone,), (same,) = (
        taken.changes.up, taken.changes.down, taken.changes.new, taken.changes.gone, taken.changes.same
    )  # fmt: skip
    assert (up.item, up.old_price, up.new_price, up.percent) == ("oak 2x4, 8 ft", *map(Decimal, (10, 11, 10)))
    # 11.25 for 12.50 is a tenth less
    assert (down.item, down.percent) == ("oak 2x4, 10 ft", Decimal("-10.0"))
    assert (new.item, new.old_price, new.new_price) == ("elm 2x4, 8 ft", None, Decimal(7))
    assert (gone.item, gone.old_price, gone.new_price) == ("oak 2x6, 8 ft", Decimal(20), None)
    assert (same.item, same.percent) == ("ash 8/4, random length", Decimal("0.0"))
    assert taken.changes.jumps == ()
    taken.write()
    assert taken.kept_path.read_bytes() == before
    assert set(yard.quoted_from()) == {"oak 2x4 96", "oak 2x4 120", "ash 8/4 None", "elm 2x4 96"}


def test_what_changes_is_entered_in_the_history(yard: Yard) -> None:
    yard.take(FIRST).write()
    yard.take(FIRST.replace("10.00", "10.50").replace("ash,8/4,random,9.00,bf\n", ""), day=date(2026, 12, 1)).write()
    head, *entries = rows(yard.history.read_bytes())
    assert head == ["day", "table", "supplier", "item", "old_price", "new_price", "per", "source"]
    assert len(entries) == 6
    supplier = ["lumber", "Bramble Lane Timber"]
    assert entries[0] == ["2026-11-24", *supplier, "oak 2x4, 8 ft", "", "10.00", "each", "yard.csv"]
    assert entries[4] == ["2026-12-01", *supplier, "oak 2x4, 8 ft", "10.00", "10.50", "each", "yard.csv"]
    assert entries[5] == ["2026-12-01", *supplier, "ash 8/4, random length", "9.00", "", "bf", "yard.csv"]


def test_a_history_saved_by_a_spreadsheet_keeps_its_form(yard: Yard) -> None:
    yard.take(FIRST).write()
    kept = yard.history.read_text(encoding="utf-8-sig").replace(",", ";").replace("\n", "\r\n")
    kept = kept.replace('"oak 2x4; 8 ft"', "oak 2x4, 8 ft")
    yard.history.write_bytes(kept.encode("cp1252"))
    yard.take(FIRST.replace("10.00", "10.125")).write()
    text = yard.history.read_bytes().decode()
    assert text.startswith(kept)
    assert text.removeprefix(kept) == (
        "2026-11-24;lumber;Bramble Lane Timber;oak 2x4, 8 ft;10,00;10,125;each;yard.csv\r\n"
    )
    assert read_history(yard.history, findings := Findings())[-1].price == Decimal("10.125")
    assert not findings.faults


def test_the_same_list_again_changes_no_price_and_enters_nothing(yard: Yard) -> None:
    yard.take(FIRST).write()
    history = yard.history.read_bytes()
    taken = yard.take(FIRST, day=date(2026, 12, 1))
    assert len(taken.changes.same) == 4
    taken.write()
    assert yard.history.read_bytes() == history
    assert {row[6] for row in rows(yard.table.read_bytes())[1:]} == {"2026-12-01"}  # all prices hold anew


def test_a_price_that_jumps_is_left_as_it_was_unless_jumps_are_wanted(yard: Yard) -> None:
    yard.take(FIRST).write()
    first = {row[3] + row[2]: row for row in rows(yard.table.read_bytes())}
    # Up by 25 % is no jump yet, by 25.1 % is one; down by half is one.
    second = (
        FIRST.replace("10.00", "12.50").replace("12.50,each\noak,2x6", "15.64,each\noak,2x6").replace("20.00", "10")
    )
    taken = yard.take(second, day=date(2026, 12, 1))
    assert [(one.item, one.percent) for one in taken.changes.jumps] == [
        ("oak 2x6, 8 ft", Decimal("-50.0")),
        ("oak 2x4, 10 ft", Decimal("25.1")),
    ]
    taken.write()
    left = {row[3] + row[2]: row for row in rows(yard.table.read_bytes())}
    assert left["8 ft2x6"] == first["8 ft2x6"]  # price, day and place of the former list
    assert left["8 ft2x4"][4:7] == ["12.50", "each", "2026-12-01"]
    assert "oak 2x6" not in yard.history.read_text(encoding="utf-8-sig").partition("2026-12-01")[2]

    again = yard.take(second, day=date(2026, 12, 1))
    assert len(again.changes.jumps) == 2
    again.write(jumps=True)
    assert yard.quoted_from()["oak 2x6 96"] == 10


def test_the_shop_says_what_a_jump_is(yard: Yard) -> None:
    shop = yard.folder / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(
        text.replace("stale_after_days = 180", "stale_after_days = 180\njump_percent = 5"), encoding="utf-8"
    )
    yard.take(FIRST).write()
    assert len(yard.take(FIRST.replace("10.00", "10.51")).changes.jumps) == 1
    assert len(yard.take(FIRST.replace("10.00", "10.50")).changes.jumps) == 0


def test_a_price_by_another_unit_is_compared_by_what_the_board_costs(yard: Yard) -> None:
    yard.take(FIRST).write()
    # 8 ft for 10.00 are 1.25 a foot; 9.00 a board foot are 9000 a thousand.
    taken = yard.take(FIRST.replace("oak,2x4,8 ft,10.00,each", "oak,2x4,8 ft,1.30,ft").replace("9.00,bf", "9000,MBF"))
    (up,) = taken.changes.up
    assert (up.per, up.old_price, up.new_price, up.percent) == ("ft", Decimal("1.25"), Decimal("1.3"), Decimal("4.0"))
    assert len(taken.changes.same) == 3


def workbook(content: str) -> bytes:
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    for row in csv.reader(io.StringIO(content)):
        sheet.append([float(cell) if cell.replace(".", "").isdecimal() else cell for cell in row])
    raw = io.BytesIO()
    book.save(raw)
    return raw.getvalue()


def test_a_workbook_and_its_csv_become_the_same_table(yard: Yard) -> None:
    yard.take(FIRST).write()
    table = yard.table.read_bytes()
    taken = yard.take(workbook(FIRST), name="yard.csv")
    assert len(taken.changes.same) == 4
    taken.write()
    assert yard.table.read_bytes() == table


def hand_kept(yard: Yard) -> None:
    lumber = yard.tables / "lumber.csv"
    row = "Bramble Lane Timber,oak,,2x4,8 ft,9,each,2026-10-02,\n"
    lumber.write_text(lumber.read_text(encoding="utf-8") + row, encoding="utf-8")


def with_terms(yard: Yard) -> None:
    terms = '[[suppliers]]\nname = "bramble lane timber"\ndiscount_percent = 5\n'
    (yard.tables / "suppliers.toml").write_text(terms, encoding="utf-8")
    yard.map_path.write_text(MAP.replace("[columns]", "discount_percent = 5\n[columns]"), encoding="utf-8")


def by_hand(yard: Yard) -> None:
    yard.table.write_text(yard.table.read_text(encoding="utf-8").replace("yard.csv:2", ""), encoding="utf-8")


def spoilt(yard: Yard) -> None:
    yard.table.write_text(yard.table.read_text(encoding="utf-8").replace("10.00", "1o.oo"), encoding="utf-8")


REFUSED: dict[str, tuple[str | bytes, Callable[[Yard], None] | None, str]] = {
    "no rows": (HEAD, None, "yard.csv: has no row of goods below its headings; ask for a list that has"),
    "an empty file": ("", None, "yard.csv: is empty; save the list again, or ask for it again"),
    "a heading missing": (FIRST.replace("Price", "Cost"), None, 'yard.csv:1 has no column "Price"'),
    "fewer than half the rows": (
        f"{HEAD}oak,2x4,8 ft,10,each\n",
        None,
        "has 1 row of goods, and there were 4 the last",
    ),
    "a row that cannot be read": (f"{FIRST}elm,2x4,8 ft,call,each\n", None, 'yard.csv:6: Price: "call" is not a price'),
    "a web page": ("<html>Sign in</html>", None, "yard.csv: is a web page, no list"),
    "a damaged workbook": (b"PK\x03\x04 spoilt", None, "yard.csv: is a damaged workbook"),
    "two prices of one item": (f"{FIRST}oak,2x4,96,11,each\n", None, "yard.csv:6: is a second price of oak 2x4, 8 ft"),
    "goods that are kept by hand": (
        FIRST,
        hand_kept,
        "lumber.csv: has 1 price of Bramble Lane Timber that the list has too; delete",
    ),
    "terms that stand twice": (FIRST, with_terms, 'discount_percent: stands under "bramble lane timber" in'),
    "a row entered by hand": (FIRST, by_hand, "taken_from: was taken from no list and would be lost; move this row to"),
    "a table that is spoilt": (FIRST, spoilt, 'lumber-bramble.csv:2: price: "1o.oo" is not a number'),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_refusal_leaves_every_file_byte_for_byte_as_it_was(case: str, yard: Yard) -> None:
    content, change, reason = REFUSED[case]
    yard.take(FIRST).write()
    if change:
        change(yard)
    before = yard.files()
    taken = yard.take(content)
    assert not taken.is_safe
    assert any(reason in one for one in taken.reasons), taken.reasons
    with pytest.raises(EstimatorError) as raised:
        taken.write(jumps=True)
    assert tuple(map(str, raised.value.faults)) == taken.reasons
    assert yard.files() == before


@settings(max_examples=40, deadline=None)
@given(sent=st.binary(max_size=300))
def test_whatever_is_sent_nothing_is_touched_before_it_is_written(
    sent: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    yard = Yard(tmp_path_factory.mktemp("yard"))
    yard.take(FIRST).write()
    before = yard.files()
    assert not yard.take(sent).is_safe
    assert yard.files() == before


def test_a_table_changed_meanwhile_or_held_by_another_program_is_left(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    yard.take(FIRST).write()
    taken = yard.take(FIRST.replace("10.00", "10.50"))
    changed = yard.table.read_bytes() + b"\n"
    yard.table.write_bytes(changed)
    before = yard.files()
    with pytest.raises(EstimatorError, match="was changed meanwhile; run the command again"):
        taken.write()
    assert yard.files() == before
    opened = Path.open

    def held(path: Path, mode: str = "r", **options: str | None) -> object:
        if path == yard.table and "+" in mode:
            raise PermissionError(13, "Permission denied")
        return opened(path, mode, **options)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", held)
    with pytest.raises(EstimatorError, match="close it in your spreadsheet program"):
        yard.take(FIRST.replace("10.00", "10.50")).write()
    assert yard.files() == before


def test_a_history_that_cannot_be_read_stops_the_taking_over(yard: Yard) -> None:
    yard.history.write_bytes(b"\x00\x01")
    before = yard.files()
    with pytest.raises(EstimatorError, match="is no plain text"):
        yard.take(FIRST).write()
    assert yard.files() == before


@pytest.mark.parametrize("files_before", [0, 1, 2])
def test_a_failure_in_the_middle_leaves_the_table_and_enters_nothing_twice(
    files_before: int, yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    yard.take(FIRST).write()
    before = yard.table.read_bytes()
    second = FIRST.replace("10.00", "10.50")
    replaced, left = Path.replace, [files_before]

    def fails(path: Path, target: Path) -> Path:
        if not left[0]:
            raise OSError(28, "No space left on device")
        left[0] -= 1
        return replaced(path, target)

    with monkeypatch.context() as full:
        full.setattr(Path, "replace", fails)
        with pytest.raises(EstimatorError, match="No space left on device"):
            yard.take(second).write()
    assert yard.table.read_bytes() == before
    yard.take(second).write()
    assert yard.quoted_from()["oak 2x4 96"] == Decimal("10.50")
    assert len(rows(yard.history.read_bytes())) == 1 + 4 + 1


PRICES = st.dictionaries(st.integers(8, 20), st.decimals(min_value=1, max_value=99, places=2), min_size=2, max_size=8)


def listed(prices: dict[int, Decimal]) -> str:
    return HEAD + "".join(f"oak,2x4,{feet} ft,{price},each\n" for feet, price in prices.items())


@settings(max_examples=40, deadline=None)
@given(old=PRICES, new=PRICES)
def test_what_is_taken_over_is_the_new_list_but_for_jumps_and_every_item_has_one_change(
    old: dict[int, Decimal], new: dict[int, Decimal], tmp_path_factory: pytest.TempPathFactory
) -> None:
    yard = Yard(tmp_path_factory.mktemp("yard"))
    yard.take(listed(old)).write()
    taken = yard.take(listed(new))
    if 2 * len(new) < len(old):
        assert not taken.is_safe
        return
    changes = taken.changes
    assert len(changes.new) == len(new.keys() - old.keys())
    assert len(changes.gone) == len(old.keys() - new.keys())
    assert len(changes.up) + len(changes.down) + len(changes.same) == len(old.keys() & new.keys())
    taken.write()
    found = yard.quoted_from()
    assert len(found) == len(new)
    for feet, price in new.items():
        jumps = feet in old and abs(price / old[feet] - 1) > Decimal("0.25")
        assert found[f"oak 2x4 {feet * 12}"] == (old[feet] if jumps else price)


DATED = f'{MAP}date = "Date"\n'
DATED_HEAD = "Timber,Size,Length,Price,Per,Date\n"


def dated(*rows_: str) -> str:
    return DATED_HEAD + "".join(f"{row}\n" for row in rows_)


def test_a_list_older_than_the_prices_it_would_replace_is_refused(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2026-11-20", "oak,2x6,8 ft,20,each,2026-11-20")).write()
    before = yard.files()
    taken = yard.take(dated("oak,2x4,8 ft,9,each,2026-10-01", "oak,2x6,8 ft,19,each,2026-10-01"))
    remedy = "mend date in bramble.map.toml, or delete lumber-bramble.csv if the older list is right"
    assert taken.reasons == (f"yard.csv: has 2 prices dated 2026-10-01 in place of newer, dated 2026-11-20; {remedy}",)
    with pytest.raises(EstimatorError):
        taken.write()
    assert yard.files() == before
    assert yard.take(dated("oak,2x4,8 ft,10,each,2026-10-01", "oak,2x6,8 ft,20,each,2026-10-01")).is_safe
    assert yard.take(dated("oak,2x4,8 ft,9,each,2026-11-20", "oak,2x6,8 ft,19,each,2026-11-20")).is_safe


def test_entries_carry_the_day_of_their_row_and_what_is_gone_that_of_the_list(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2026-11-01", "oak,2x6,8 ft,20,each,2026-11-02")).write()
    yard.take(dated("oak,2x4,8 ft,11,each,2026-11-20"), day=date(2026, 12, 1)).write()
    entries = [(row[0], row[3], row[5]) for row in rows(yard.history.read_bytes())[1:]]
    assert entries == [
        ("2026-11-01", "oak 2x4, 8 ft", "10.00"),
        ("2026-11-02", "oak 2x6, 8 ft", "20.00"),
        ("2026-11-20", "oak 2x4, 8 ft", "11.00"),
        ("2026-11-20", "oak 2x6, 8 ft", ""),  # the list is as new as its newest row, whenever the file was saved
    ]
    # It comes back with the price of old: the history must not say that it went last.
    again = dated("oak,2x4,8 ft,11,each,2026-11-20", "oak,2x6,8 ft,20,each,2026-11-02")
    yard.take(again, day=date(2026, 12, 5)).write()
    assert rows(yard.history.read_bytes())[-1][0] == "2026-12-05"
    findings = Findings()
    last = last_entries(read_history(yard.history, findings))
    assert [(one.day, one.price) for one in last.values()][-1] == (date(2026, 12, 5), Decimal(20))
    assert findings == Findings()


def test_a_list_taken_over_again_writes_nothing_and_the_kept_table_stays(yard: Yard) -> None:
    yard.take(FIRST).write()
    yard.take(FIRST.replace("10.00", "11.00")).write()
    before = yard.files()
    again = yard.take(FIRST.replace("10.00", "11.00"))
    assert not again.changes_table(jumps=True)
    again.write()
    assert yard.files() == before
    jumping = yard.take(FIRST.replace("10.00", "11.00").replace("20.00", "90.00"))
    assert (jumping.changes_table(jumps=False), jumping.changes_table(jumps=True)) == (False, True)
    jumping.write()
    assert yard.files() == before
    jumping.write(jumps=True)
    assert jumping.kept_path.read_bytes() == before["lumber-bramble.csv"]


def test_goods_that_stand_there_twice_at_one_price_are_taken_once(yard: Yard) -> None:
    findings = Findings()
    shop, map_ = read_shop(yard.folder / "shop.toml", findings), read_supplier_map(yard.map_path, findings)
    twice = f"{FIRST}oak,2x4,8 ft,10,each\noak,2x4,96,1.25,ft\n".encode()
    taken = take_over(twice, "yard.csv", DAY, map_, yard.tables, shop, findings)
    assert taken.is_safe
    assert len(taken.rows) == 4
    assert [str(one) for one in findings.notices if "again" in one.message] == [
        "yard.csv: goods that stand there again at the same price are passed over (2 rows, the first on line 6)"
    ]


def test_goods_kept_by_hand_that_the_list_has_too_are_one_fault(yard: Yard) -> None:
    lumber = yard.tables / "lumber.csv"
    text = lumber.read_text(encoding="utf-8")
    line = text.count("\n")
    for row in ("oak,,2x4,8 ft", "elm,,2x4,8 ft", "oak,,2x6,8 ft"):
        text += f"Bramble Lane Timber,{row},9,each,2026-10-02,\n"
    lumber.write_text(text, encoding="utf-8")
    (fault,) = yard.take(FIRST).reasons
    expected = f"has 2 prices of Bramble Lane Timber that the list has too; delete lines {line + 1}, {line + 3}"
    assert fault.endswith(f"lumber.csv: {expected}")
    assert yard.take(f"{HEAD}ash,8/4,random,9.00,bf\n").is_safe


def test_a_history_that_cannot_be_read_refuses_a_list_of_which_nothing_is_entered(yard: Yard) -> None:
    yard.take(FIRST).write()
    yard.history.write_text(
        yard.history.read_text(encoding="utf-8-sig").replace("2026-11-24", "yesterday", 1), encoding="utf-8"
    )
    (fault,) = yard.take(FIRST).reasons
    assert 'price_history.csv:2: day: "yesterday" is not a date' in fault


def test_a_sheet_named_for_a_list_that_is_no_workbook_is_said(yard: Yard) -> None:
    yard.map_path.write_text(MAP.replace("[columns]", 'sheet = "Prices"\n[columns]'), encoding="utf-8")
    findings = Findings()
    shop, map_ = read_shop(yard.folder / "shop.toml", findings), read_supplier_map(yard.map_path, findings)
    assert take_over(FIRST.encode(), "yard.csv", DAY, map_, yard.tables, shop, findings).is_safe
    assert 'yard.csv: is no workbook, so that sheet = "Prices" in its map is passed over' in map(str, findings.notices)


def entered(yard: Yard) -> list[tuple[str, str, str]]:
    return [(row[0], row[4], row[5]) for row in rows(yard.history.read_bytes())[1:]]


def test_prices_that_change_under_their_old_date_count_from_today(yard: Yard) -> None:
    yard.map_path.write_text(MAP.replace("[columns]", "date = 2026-11-01\n[columns]"), encoding="utf-8")
    yard.take(FIRST).write()
    taken = yard.take(FIRST.replace("10.00", "10.50").replace("20.00", "21.00"))
    told = "has 2 prices changed under the date of the former list, 2026-11-01, which count from 2026-11-24 on"
    remedy = "mend date in bramble.map.toml if this list says another day"
    assert [notice.message for notice in yard.notices] == [f"{told}; {remedy}"]
    taken.write()
    assert entered(yard)[-2:] == [("2026-11-24", "10.00", "10.50"), ("2026-11-24", "20.00", "21.00")]
    findings = Findings()
    assert len({(one.day, one.item) for one in read_history(yard.history, findings)}) == 6  # no former price is hidden


def test_where_the_date_changed_with_the_prices_nothing_is_said(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2026-11-01")).write()
    yard.take(dated("oak,2x4,8 ft,11,each,2026-11-05")).write()
    assert yard.notices == []
    assert entered(yard) == [("2026-11-01", "", "10.00"), ("2026-11-05", "10.00", "11.00")]


def test_entries_made_again_after_a_failure_stay_what_they_were(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2026-11-01")).write()
    table, second = yard.table.read_bytes(), dated("oak,2x4,8 ft,11,each,2026-11-01")
    yard.take(second).write()
    history = yard.history.read_bytes()
    yard.table.write_bytes(table)  # as if it could not be written after the history was
    yard.take(second, day=date(2026, 11, 30)).write()
    assert yard.history.read_bytes() == history


def test_a_date_to_come_by_mistake_is_mended_in_the_history(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2027-03-01", "oak,2x6,8 ft,20,each,2027-03-01")).write()
    yard.take(dated("oak,2x4,8 ft,10,each,2026-11-01", "oak,2x6,8 ft,20,each,2026-11-01")).write()
    assert [one[0] for one in entered(yard)] == ["2027-03-01"] * 2 + ["2026-11-01"] * 2
    yard.take(dated("oak,2x4,8 ft,11,each,2026-11-20", "oak,2x6,8 ft,20,each,2026-11-20")).write()
    assert entered(yard)[4:] == [("2026-11-20", "10.00", "11.00")]


def test_no_entry_waits_for_one_that_lies_in_the_future(yard: Yard) -> None:
    yard.map_path.write_text(DATED, encoding="utf-8")
    yard.take(dated("oak,2x4,8 ft,10,each,2027-03-01")).write()
    yard.table.unlink()
    yard.take(dated("oak,2x4,8 ft,11,each,2026-11-20")).write()
    assert [one[0] for one in entered(yard)] == ["2027-03-01", "2026-11-20"]


@pytest.mark.parametrize(
    ("top", "rows_", "day"),
    [
        ("date = 2026-11-09\n", ["oak,2x4,8 ft,10,each,2026-11-01"], date(2026, 11, 9)),
        ("", ["oak,2x4,8 ft,10,each,2026-11-01", "ash,2x4,8 ft,9,each,2026-11-03"], date(2026, 11, 3)),
        ("", ["oak,2x4,8 ft,10,each,2026-11-01", "ash,2x4,8 ft,9,each,"], date(2026, 11, 1)),
        ("", ["oak,2x4,8 ft,10,each,"], DAY),
    ],
)
def test_a_list_is_of_its_maps_day_or_its_newest_row_or_its_file(
    top: str, rows_: list[str], day: date, yard: Yard
) -> None:
    yard.map_path.write_text(DATED.replace("[columns]", f"{top}[columns]"), encoding="utf-8")
    assert yard.take(dated(*rows_)).day == day


def test_a_map_never_replaces_the_prices_of_another_supplier(yard: Yard) -> None:
    yard.take(FIRST).write()
    before = yard.files()
    yard.map_path.write_text(MAP.replace("Bramble Lane Timber", "Fernhill Sawmill Yard"), encoding="utf-8")
    taken = yard.take(FIRST)
    ways = "give this map a name of its own, or mend supplier; under a new name, delete lumber-bramble.csv first"
    (reason,) = taken.reasons
    assert reason.endswith(f"supplier: lumber-bramble.csv holds the prices of Bramble Lane Timber; {ways}")
    with pytest.raises(EstimatorError):
        taken.write()
    yard.map_path.write_text(MAP, encoding="utf-8")
    assert yard.files() == before
    yard.map_path.write_text(MAP.replace("Bramble Lane", "bramble lane"), encoding="utf-8")
    assert yard.take(FIRST).is_safe  # the same name, as names are compared
