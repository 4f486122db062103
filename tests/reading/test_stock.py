import csv
import io
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import Shop, read_shop
from estimator.reading.stock import StockRow, check_stock, read_stock, stock_list
from estimator.units import MM_PER_IN

GOOD = Path(__file__).parents[1] / "broken" / "_good"
PLAIN = (
    "species,section,length,quantity,grade,value,place,note\n"
    "western larch,2x4,8 ft,3,Select,9.50,rack by the door,\n"
    "white oak,8/4x6,31 1/2,2,,,,one has a knot\n"
)


@cache
def shop() -> Shop:
    return read_shop(GOOD / "shop.toml", Findings())


def read(folder: Path, content: str | bytes, unit: str = "in") -> tuple[tuple[StockRow, ...], Findings]:
    """Read a list of stock in the shop of the sound order, with that shop's prices."""
    raw = content if isinstance(content, bytes) else content.encode()
    (folder / "stock.csv").write_bytes(raw)
    findings = Findings()
    lumber = read_price_tables(shop(), Findings()).lumber
    return read_stock(replace(shop(), folder=folder, unit=unit), lumber, findings), findings


def messages(findings: Findings) -> list[str]:
    return [str(fault).partition("stock.csv:")[2] for fault in findings.faults]


def facts(rows: tuple[StockRow, ...]) -> list[StockRow]:
    """Return rows without their place in a file."""
    return [replace(row, origin=shop().labour[0].origin) for row in rows]


def test_a_row_is_read_with_all_it_says(tmp_path: Path) -> None:
    (board, offcut), findings = read(tmp_path, PLAIN)
    assert (board.title, board.length_in, board.quantity) == ("western larch Select 2x4", Fraction(96), 3)
    assert (board.value, board.place, board.note) == (Decimal("9.50"), "rack by the door", "")
    assert (offcut.length_in, offcut.value, offcut.note) == (Fraction(63, 2), None, "one has a knot")
    assert offcut.section.width_in == 6
    assert (board.origin.line, offcut.origin.line) == (2, 3)
    assert findings == Findings()


def test_no_list_is_no_stock(tmp_path: Path) -> None:
    assert read_stock(replace(shop(), folder=tmp_path), (), Findings()) == ()


def test_a_list_of_headings_only_is_no_stock(tmp_path: Path) -> None:
    assert read(tmp_path, "species,section,length,quantity\n") == ((), Findings())


def test_a_row_without_a_grade_has_the_only_one_its_wood_is_sold_in(tmp_path: Path) -> None:
    rows, _ = read(tmp_path, "species,section,length,quantity\nWestern Larch,2x4,40 in,1\nwestern larch,2x6,40 in,1\n")
    assert [row.grade for row in rows] == ["Select", ""]


def test_rows_are_told_apart_by_species_grade_and_section(tmp_path: Path) -> None:
    (board, _), _ = read(tmp_path, PLAIN)
    assert board.is_of(species="Western-Larch", grade="select", section=board.section)
    assert not board.is_of(species="white oak", grade="Select", section=board.section)
    assert not board.is_of(species="western larch", grade="No. 2", section=board.section)


STYLES: dict[str, Callable[[str], bytes]] = {
    "semicolons and decimal commas": lambda text: text.replace(",", ";").replace("9.50", "9,50").encode(),
    "tabs": lambda text: text.replace(",", "\t").encode(),
    "byte order mark": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "UTF-16": lambda text: text.encode("utf-16"),
    "Windows-1252": lambda text: text.replace("31 1/2", "31½").encode("cp1252"),
    "headings in capitals": lambda text: text.replace("quantity", "QUANTITY").encode(),
    "blank rows": lambda text: text.replace("\n", "\n,,,,,,,\n\n").encode(),
}


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
def test_a_list_reads_the_same_however_it_was_saved(style: Callable[[str], bytes], tmp_path: Path) -> None:
    rows, findings = read(tmp_path, style(PLAIN))
    assert facts(rows) == facts(read(tmp_path, PLAIN)[0])
    assert findings == Findings()


@pytest.mark.parametrize(
    ("text", "unit", "length_in"),
    [
        ("40", "in", Fraction(40)),
        ("8 ft", "in", Fraction(96)),
        ("24", "in", Fraction(24)),
        ("8 in", "in", Fraction(8)),
        ("400", "mm", 400 / MM_PER_IN),
        ("2.4 m", "mm", 2400 / MM_PER_IN),
    ],
)
def test_a_bare_length_is_in_the_unit_of_the_shop(text: str, unit: str, length_in: Fraction, tmp_path: Path) -> None:
    (row,), findings = read(tmp_path, f"species,section,length,quantity\nwhite oak,8/4x6,{text},1\n", unit)
    assert row.length_in == length_in
    assert findings == Findings()


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("8", "in", '2: length: "8" would be 8 in; write it with its unit, 8 ft or 8 in'),
        ("3", "mm", '2: length: "3" would be 3 mm; write it with its unit, 3 m or 3 mm'),
    ],
)
def test_a_bare_length_that_may_be_feet_or_metres_is_refused(
    text: str, unit: str, message: str, tmp_path: Path
) -> None:
    _, findings = read(tmp_path, f"species,section,length,quantity\nwhite oak,8/4x6,{text},1\n", unit)
    assert messages(findings) == [message]


def test_all_that_is_wrong_is_said_at_once(tmp_path: Path) -> None:
    content = (
        "species,section,length,quantity,value\n"
        ",8/4,1000 ft,-1,dear\n"
        "white oak,8/4x6,24,1.5,0\n"  # of no value: that may be
    )
    _, findings = read(tmp_path, content)
    assert [one.split(": ")[:2] for one in messages(findings)] == [
        ["2", "section"],
        ["2", "species"],
        ["2", "length"],
        ["2", "quantity"],
        ["2", "value"],
        ["3", "quantity"],
    ]


def test_without_the_shop_s_unit_its_lengths_are_not_judged(tmp_path: Path) -> None:
    assert read(tmp_path, "species,section,length,quantity\nwhite oak,8/4x6,8,1\n", "")[1] == Findings()


def test_a_species_like_one_that_is_known_is_noticed(tmp_path: Path) -> None:
    content = "species,section,length,quantity\nwestern lerch,2x4,40,1\nred oak,8/4x6,40,1\nwhite oak,8/4x6,40,1\n"
    rows, findings = read(tmp_path, content)
    check_stock(rows, [], read_price_tables(shop(), Findings()).lumber, "free", findings)
    (notice,) = findings.notices  # red oak is another wood than white oak, and may well be on hand
    assert str(notice).endswith(
        'stock.csv:2: no part and no price is of "western lerch" (did you mean "western larch"?)'
    )


def test_a_list_that_does_not_change_keeps_every_byte(tmp_path: Path) -> None:
    for style in STYLES.values():
        rows, _ = read(tmp_path, style(PLAIN))
        raw = (tmp_path / "stock.csv").read_bytes()
        assert stock_list(raw, rows, rows, "in") == raw


def test_only_what_changes_is_written(tmp_path: Path) -> None:
    content = (
        "Note;Checked;Quantity;Length;Section;Species\r\n"
        '"a; b";yes;3;8 ft;2x4;western larch\r\n'
        "\r\n"
        ";;1;40;2x2;western larch\r\n"
        "last;;05;1,5 m;1x4;western larch"
    )
    rows, _ = read(tmp_path, content)
    first, second, third = rows
    new = replace(first, origin=replace(first.origin, line=None), quantity=7, length_in=Fraction(4556, 64), note="")
    assert second.quantity == 1
    changed = stock_list(content.encode(), rows, (replace(first, quantity=2), third, new), "in").decode()
    assert changed.split("\r\n") == [
        "Note;Checked;Quantity;Length;Section;Species;grade",
        '"a; b";yes;2;8 ft;2x4;western larch;',
        "",
        "last;;05;1,5 m;1x4;western larch",
        ";;7;71 3/16 in;2x4;western larch;Select",
        "",
    ]


def test_a_list_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    for style in STYLES.values():
        rows, _ = read(tmp_path, style(PLAIN))
        raw = (tmp_path / "stock.csv").read_bytes()
        new = replace(rows[0], origin=replace(rows[0].origin, line=None), species="łubin", value=None, place="")
        after = (replace(rows[1], quantity=5), new)
        found, findings = read(tmp_path, stock_list(raw, rows, after, "in"))
        assert facts(found) == facts(after)
        assert findings == Findings()


def test_a_list_is_made_where_there_was_none(tmp_path: Path) -> None:
    rows, _ = read(tmp_path, PLAIN)
    new = tuple(replace(row, origin=replace(row.origin, line=None), value=None, place="", note="") for row in rows)
    found, findings = read(tmp_path, stock_list(None, (), new, "in"))
    assert facts(found) == facts(new)
    assert findings == Findings()


near_cells = st.text(alphabet="0123456789 /.,;-\"'½xX$ftinmbroughlarch\x07\n\r", max_size=14)


@settings(deadline=None, max_examples=60)
@given(cells=st.lists(near_cells, min_size=8, max_size=8), whole=st.one_of(st.none(), st.binary(max_size=60)))
def test_whatever_stands_in_a_list_it_is_read_or_refused(
    cells: list[str], whole: bytes | None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    text = io.StringIO(newline="")
    csv.writer(text).writerows([PLAIN.splitlines()[0].split(","), cells])
    folder = tmp_path_factory.mktemp("shop")
    rows, findings = read(folder, text.getvalue() if whole is None else whole)
    if not findings.faults:
        assert stock_list((folder / "stock.csv").read_bytes(), rows, rows, "in") == (folder / "stock.csv").read_bytes()
    assert all(len(str(fault).splitlines()) == 1 for fault in findings.faults)
