import csv
import io
import shutil
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import EstimatorError, Findings
from estimator.keeping import add
from estimator.keeping.add import NewRow, PriceBook, TableRow, faults_of, new_row, price_book, there_already, write_rows
from estimator.reading.prices import PriceTables, read_price_tables
from estimator.reading.shop import read_shop
from estimator.reading.sold import LumberPrice
from estimator.whole_files import write_whole

GOOD = Path(__file__).parents[1] / "broken" / "_good"
BOARD = {
    "supplier": "Fernhill Sawmill Yard",
    "species": "western larch",
    "section": "2x6",
    "length": "12 ft",
    "per": "each",
    "price": "30.25",
    "date": "2026-11-24",
}
RATE = {"rate": "Turner", "per_hour": "38", "date": "2026-11-24"}
SEMICOLONS = (
    "sep=;\r\nPrice;per;My shelf;species;grade;section;length;date;supplier\r\n"
    "14,88;each;3;western larch;Select;2x4;8 ft;2026-10-02;Fernhill Sawmill Yard\r\n"
)


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    shutil.copytree(GOOD, tmp_path / "shop")
    return tmp_path / "shop" / "price_tables"


def book_of(tables: Path) -> PriceBook:
    findings = Findings()
    shop = read_shop(tables.parent / "shop.toml", findings)
    found = read_price_tables(shop, findings)
    findings.raise_faults()
    return price_book(shop, found)


def read_again(tables: Path) -> PriceTables:
    return book_of(tables).tables


def contents(tables: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in tables.iterdir() if not path.name.endswith(".before")}


def test_a_row_is_read_back_as_it_was_answered_and_all_else_stays(tables: Path) -> None:
    book, before = book_of(tables), contents(tables)
    rows = [new_row(book, "lumber", BOARD), new_row(book, "labour_rates", RATE)]
    assert write_rows(book, rows) == (tables / "lumber.csv", tables / "labour_rates.csv")
    after = contents(tables)
    assert after["lumber.csv"] == before["lumber.csv"] + (
        b"Fernhill Sawmill Yard,western larch,,2x6,12 ft,30.25,each,2026-11-24,\n"
    )
    assert after["labour_rates.csv"] == before["labour_rates.csv"] + b"Turner,38.00,2026-11-24,\n"
    assert (tables / "lumber.csv.before").read_bytes() == before["lumber.csv"]
    assert {name for name in after if after[name] != before.get(name)} == {
        "lumber.csv", "labour_rates.csv", "price_history.csv"
    }  # fmt: skip
    added = read_again(tables).lumber[-1]
    assert (added.price, added.length_in, added.day) == (Decimal("30.25"), Fraction(144), date(2026, 11, 24))


def test_a_new_price_is_entered_in_the_history_and_a_rate_is_not(tables: Path) -> None:
    book = book_of(tables)
    write_rows(book, [new_row(book, "labour_rates", RATE), new_row(book, "lumber", BOARD)])
    head, *entries = csv.reader(io.StringIO((tables / "price_history.csv").read_text(encoding="utf-8-sig")))
    assert head == ["day", "table", "supplier", "item", "old_price", "new_price", "per", "source"]
    item = ["western larch 2x6, 12 ft", "", "30.25", "each", "lumber.csv:8"]
    assert entries == [["2026-11-24", "lumber", "Fernhill Sawmill Yard", *item]]
    assert (tables / "lumber.csv").read_text(encoding="utf-8").splitlines()[7].endswith("30.25,each,2026-11-24,")


@given(
    price=st.decimals("0.01", "9999.99", places=2),
    mark=st.sampled_from([".", ","]),
    semicolons=st.booleans(),
    sign=st.sampled_from(["", "$"]),
)
def test_a_price_is_worth_the_same_once_written_whatever_its_mark(
    price: Decimal, mark: str, sign: str, *, semicolons: bool, tmp_path_factory: pytest.TempPathFactory
) -> None:
    tables = tmp_path_factory.mktemp("shop") / "copy" / "price_tables"
    shutil.copytree(GOOD, tables.parent)
    if semicolons:
        (tables / "lumber.csv").write_text(SEMICOLONS, encoding="utf-8", newline="")
    book = book_of(tables)
    row = new_row(book, "lumber", {**BOARD, "price": f"{sign}{price}".replace(".", mark)})
    assert row.cells["price"] == f"{price:.2f}".replace(".", "," if semicolons else ".")
    write_rows(book, [row])
    assert read_again(tables).lumber[-1].price == price


def test_in_a_list_with_semicolons_the_row_has_its_columns_and_its_decimal_comma(tables: Path) -> None:
    (tables / "lumber.csv").write_text(SEMICOLONS, encoding="cp1252", newline="")
    book = book_of(tables)
    write_rows(book, [new_row(book, "lumber", {**BOARD, "price": "12.50", "note": "ask for Ruth"})])
    expected = SEMICOLONS.replace(";supplier", ";supplier;note") + (
        "12,50;each;;western larch;;2x6;12 ft;2026-11-24;Fernhill Sawmill Yard;ask for Ruth\r\n"
    )
    assert (tables / "lumber.csv").read_bytes() == expected.encode("cp1252")
    assert read_again(tables).lumber[-1].price == Decimal("12.5")


def test_what_could_be_two_numbers_is_refused_by_the_mark_of_the_list(tables: Path) -> None:
    def reasons(price: str) -> list[str]:
        return [fault.message for fault in faults_of(book_of(tables), "lumber", {**BOARD, "price": price})]

    assert reasons("1.250") == []
    assert reasons("1,250") == ['"1,250" could mean two numbers; write 1250 or 1.250']
    (tables / "lumber.csv").write_text(SEMICOLONS, encoding="cp1252", newline="")
    assert reasons("1.250") == ['"1.250" could mean two numbers; write 1250 or 1,250']


def test_a_table_that_is_not_there_is_made_with_our_columns(tables: Path) -> None:
    (tables / "consumables.csv").unlink()
    book = book_of(tables)
    glue = {"supplier": "Dale", "item": "Glue", "pack": "8", "unit": "fl oz", "price": "6.9", "date": "2026-11-24"}
    write_rows(book, [new_row(book, "consumables", glue)])
    assert (tables / "consumables.csv").read_text(encoding="utf-8-sig").splitlines() == [
        "supplier,item,pack,unit,price,date,from_quantity,note",
        "Dale,Glue,8,fl oz,6.90,2026-11-24,,",
    ]
    assert not (tables / "consumables.csv.before").exists()


def place(row: TableRow | None) -> str:
    return str(row.origin).rpartition("/")[2] if row else ""


def test_a_second_price_of_an_item_is_known_before_its_price(tables: Path) -> None:
    book = book_of(tables)
    unpriced = {name: text for name, text in BOARD.items() if name not in ("price", "date")}
    assert place(there_already(book, "lumber", {**unpriced, "section": "2x4", "grade": "select"}, [])) == "lumber.csv:6"
    new = new_row(book, "lumber", BOARD)
    assert there_already(book, "lumber", unpriced, []) is None
    assert there_already(book, "lumber", unpriced, [new]) is new.row
    assert there_already(book, "lumber", {**unpriced, "from_quantity": "10"}, [new]) is None
    assert place(there_already(book, "labour_rates", {"rate": "maker"}, [])) == "labour_rates.csv:2"
    spread = {"product": "Millrace oil stain", "texture": "smooth", "coat": "first"}
    assert place(there_already(book, "spread_rates", spread, [])) == "spread_rates.csv:2"


def test_who_sells_something_or_has_terms_is_known_by_name_once(tables: Path) -> None:
    (tables / "suppliers.toml").write_text(
        '[[suppliers]]\nname = "Dale"\n[[suppliers]]\nname = "bramble lane hardware"\n', encoding="utf-8"
    )
    names = book_of(tables).supplier_names
    assert sorted(map(str.casefold, names)) == ["bramble lane hardware", "dale", "fernhill sawmill yard"]


def both(book: PriceBook) -> list[NewRow]:
    return [new_row(book, "lumber", BOARD), new_row(book, "labour_rates", RATE)]


@pytest.mark.parametrize("history", [None, "day,table,supplier,item,old_price,new_price,per,source\n"])
@pytest.mark.parametrize("failing", [1, 2, 3])
def test_where_a_file_cannot_be_written_all_are_as_before(
    failing: int, history: str | None, tables: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if history:
        (tables / "price_history.csv").write_text(history, encoding="utf-8")
    book, before = book_of(tables), contents(tables)
    written: list[Path] = []

    def full_disk(path: Path, content: bytes, *, replace: bool) -> None:
        written.append(path)
        if len(written) == failing:
            raise EstimatorError.single(path.name, "writing failed", "make room")
        write_whole(path, content, replace=replace)

    monkeypatch.setattr(add, "write_whole", full_disk)
    with pytest.raises(EstimatorError, match="writing failed"):
        write_rows(book, both(book))
    assert contents(tables) == before


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        (lambda tables: (tables / "labour_rates.csv").write_text("rate,per_hour,date\n"), "was changed meanwhile"),
        (lambda tables: (tables / "lumber.csv").unlink(), "was changed meanwhile"),
        (lambda tables: (tables / "price_history.csv").write_text("day,what\n"), "is missing"),
    ],
)
def test_what_was_changed_meanwhile_or_cannot_be_read_stops_all_of_it(
    spoil: Callable[[Path], object], reason: str, tables: Path
) -> None:
    book = book_of(tables)
    rows = both(book)
    spoil(tables)
    before = contents(tables)
    with pytest.raises(EstimatorError, match=reason):
        write_rows(book, rows)
    assert contents(tables) == before


def test_what_speaks_against_a_cell_is_said_by_the_reader_of_its_table(tables: Path) -> None:
    def columns(table: str, **cells: str) -> list[str]:
        return [fault.column for fault in faults_of(book_of(tables), table, cells)]

    assert columns("lumber", **BOARD) == []
    assert columns("lumber", **{**BOARD, "length": "12"}) == ["length"]
    assert columns("lumber", **{**BOARD, "length": "random"}) == ["per"]
    assert columns("labour_rates", rate="Maker", per_hour="-3", date="soon") == ["per_hour", "date"]
    assert columns("spread_rates", product="Oil", texture="smooth", coat="any", rate="far") == ["rate"]
    assert columns("finishes", supplier="Dale", product="Oil", container="a can", price="0", date="2026-11-24") == [
        "container",
        "price",
    ]


def test_the_price_of_a_supplier_abroad_is_in_his_currency(tables: Path) -> None:
    (tables / "suppliers.toml").write_text(
        '[[suppliers]]\nname = "Fernhill Sawmill Yard"\ncurrency = "EUR"\nrate = 1.1\nrate_date = 2026-11-01\n',
        encoding="utf-8",
    )
    book = book_of(tables)
    assert [one.column for one in faults_of(book, "lumber", {**BOARD, "price": "$12.50"})] == ["price"]
    row = new_row(book, "lumber", {**BOARD, "price": "€12.5"})
    assert row.cells["price"] == "12.50"
    assert isinstance(row.row, LumberPrice)
    assert row.row.seller is not None


@pytest.mark.parametrize("text", ["=1+1", "+cedar", "-dry", "@SUM(A1)"])
def test_texts_that_pass_for_formulas_are_refused(text: str, tables: Path) -> None:
    (fault,) = faults_of(book_of(tables), "lumber", {**BOARD, "species": text})
    told = f'"{text}" could pass for a formula in a spreadsheet program; leave out the "{text[0]}" in front'
    assert str(fault) == f"lumber.csv: species: {told}"


def test_a_number_with_its_sign_in_front_is_no_formula(tables: Path) -> None:
    book = book_of(tables)
    assert faults_of(book, "lumber", {**BOARD, "price": "+30.25"}) == ()
    assert new_row(book, "lumber", {**BOARD, "price": "+30.25"}).cells["price"] == "30.25"
