"""What was taken over is read with the hand-kept tables, quickly, and lists keep their form and their nearest names."""

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.reading import fields
from estimator.reading.fields import closest
from estimator.reading.list_changes import changed_list
from estimator.reading.lists import columns, delimiter_of, read_list
from estimator.reading.prices import PriceTables, read_price_tables, taken_over
from estimator.reading.shop import read_shop

GOOD = Path(__file__).parents[1] / "broken" / "_good"
HEAD = "supplier,species,section,length,price,per,date,grade,note,taken_from\n"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    shutil.copytree(GOOD, folder)
    return folder


def read(shop: Path) -> tuple[PriceTables, Findings]:
    findings = Findings()
    return read_price_tables(read_shop(shop / "shop.toml", findings), findings), findings


def taken(shop: Path, name: str, *rows: str) -> None:
    text = HEAD + "".join(f"{row},2026-11-01,,,yard.csv:2\n" for row in rows)
    (shop / "price_tables" / name).write_text(text, encoding="utf-8-sig")


def test_hand_kept_rows_come_first_and_taken_ones_in_the_order_of_the_files_names(shop: Path) -> None:
    before, _ = read(shop)
    taken(shop, "lumber-zoe.csv", "Zoe,oak,1x6,8 ft,9,each")
    taken(shop, "lumber-ada.csv", "Ada,oak,1x6,8 ft,8,each", "Ada,oak,1x6,10 ft,10,each")
    taken(shop, "lumber-ada.csv.before", "Ada,oak,1x6,8 ft,7,each")
    tables, findings = read(shop)
    assert findings == Findings()
    assert tables.lumber[: len(before.lumber)] == before.lumber
    assert [row.supplier for row in tables.lumber[len(before.lumber) :]] == ["Ada", "Ada", "Zoe"]
    assert [path.name for path in taken_over(shop / "price_tables", "lumber")] == ["lumber-ada.csv", "lumber-zoe.csv"]


def test_each_kind_of_table_may_be_taken_over(shop: Path) -> None:
    folder = shop / "price_tables"
    head = "supplier,kind,size,material,pack,price,date,taken_from"
    heads = {
        "hardware-ada.csv": (head, "Ada,glide,1,nylon,4,3,2026-11-01,a:2"),
        "finishes-ada.csv": ("supplier,product,container,price,date,taken_from", "Ada,oil,1 gal,60,2026-11-01,a:2"),
        "consumables-ada.csv": ("supplier,item,pack,unit,price,date,taken_from", "Ada,rag,25,rags,9,2026-11-01,a:2"),
    }  # fmt: skip
    before, _ = read(shop)
    for name, lines in heads.items():
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    tables, findings = read(shop)
    assert findings == Findings()
    for kind in ("hardware", "finishes", "consumables"):
        assert len(getattr(tables, kind)) == len(getattr(before, kind)) + 1
        assert getattr(tables, kind)[-1].origin.file.endswith(f"{kind}-ada.csv")


def test_a_list_with_a_line_for_its_delimiter_is_read_by_its_physical_lines_and_keeps_the_line(tmp_path: Path) -> None:
    path = tmp_path / "stock.csv"
    raw = b"sep=;\r\n\r\nspecies;length\r\noak;8 ft\r\nash;9 ft\r\n"
    path.write_bytes(raw)
    findings = Findings()
    wanted = columns("species, length", "note")
    found = read_list(path, wanted, findings)
    assert [(row.text("species"), row.origin.line) for row in found] == [("oak", 4), ("ash", 5)]
    assert findings == Findings()
    changed = changed_list(raw, wanted, {4: {"length": "7 ft"}, 5: None}, [{"species": "elm", "note": "new"}])
    assert changed == b"sep=;\r\n\r\nspecies;length;note\r\noak;7 ft;\r\nelm;;new\r\n"


@given(st.sampled_from(",;\t|"), st.sampled_from(["\n", "\r\n", "\r"]))
def test_the_named_delimiter_holds_whatever_the_headings_look_like(delimiter: str, end: str) -> None:
    other = next(sign for sign in ",;\t|" if sign != delimiter)
    assert delimiter_of(f"sep={delimiter}{end}a{other}b{other}c{delimiter}d{end}") == delimiter


def test_sep_without_a_delimiter_is_a_heading_like_any_other() -> None:
    assert delimiter_of("sep=x;y\n1;2\n") == ";"


NAMES = st.text("abcdefgh ", min_size=3, max_size=10)


@given(NAMES, st.lists(NAMES, min_size=1, max_size=12, unique=True))
def test_the_nearest_of_very_many_names_is_as_near_as_that_of_all(name: str, known: list[str]) -> None:
    def nearness(most: int) -> float:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(fields, "MOST_COMPARED", most)
            found = closest(name, known)
        return len(set(found) & set(name)) if found else -1

    if nearness(6) >= 0:  # what is found among the likeliest is found among all
        assert nearness(1000) >= 0


def test_a_slip_is_found_among_a_hundred_thousand_names() -> None:
    known = [f"wood {place} Select 2x4" for place in range(100_000)]
    assert closest("wood 7321 Selct 2x4", known) == "wood 7321 Select 2x4"
