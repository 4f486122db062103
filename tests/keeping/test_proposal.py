import io
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.errors import Findings
from estimator.keeping.price_units import is_unit
from estimator.keeping.proposal import proposed_map
from estimator.keeping.supplier_map import read_supplier_map
from estimator.keeping.vocabulary import HEADINGS, TELLING, UNITS, our_unit, priced_per, unit_of, words_of
from estimator.reading.sold import SOLD


def proposed(text: str | bytes, name: str = "yard.csv") -> tuple[dict[str, Any], str]:
    findings = Findings()
    proposal = proposed_map(text if isinstance(text, bytes) else text.encode(), name, findings)
    findings.raise_faults()
    return tomllib.loads(proposal), proposal


def test_an_english_list_of_lumber_is_mapped_by_its_headings() -> None:
    lines = (
        "Fernhill Sawmill Yard\n\nTimber,Grade,Size,Length (ft),List Price (USD),Sold by,SKU\n"
        'white oak,FAS,1x6,8,"1,250.00",Stk,7\nwhite oak,FAS,1x6,10,12.50,LF,8\nash,FAS,1x6,10,12.50,bundle,9\n'
    )
    found, text = proposed(lines, "fernhill_march.csv")
    assert (found["supplier"], found["table"], found["decimal"]) == ("Fernhill March", "lumber", ".")
    assert found["columns"] == {
        "species": "Timber",
        "grade": "Grade",
        "section": "Size",
        "length": "{Length (ft)} ft",
        "price": "List Price (USD)",
        "per": "Sold by",
    }
    assert found["units"] == {"Stk": "each", "LF": "ft"}
    assert '# "bundle" = ""  # ? not known' in text
    assert '# not used: "SKU"' in text
    assert "# Proposed from fernhill_march.csv:3, where the headings are." in text


def test_a_german_list_of_lumber_is_mapped_too() -> None:
    lines = (
        "Holzart;Güteklasse;Stärke mm;Breite mm;Länge (m);Preis EUR inkl. MwSt;ME;Stand;Art.-Nr.\n"
        "Robinie;A;27;120;2,4;12,50;Stk;01.11.2026;1\nLärche;A;27;120;3;3,90;lfm;01.11.2026;2\n"
    )
    found, text = proposed(lines.encode("cp1252"))
    assert found["decimal"] == ","
    assert found["columns"] == {
        "species": "Holzart",
        "grade": "Güteklasse",
        "section": "{Stärke mm} x {Breite mm} mm",
        "length": "{Länge (m)} m",
        "price": "Preis EUR inkl. MwSt",
        "per": "ME",
        "date": "Stand",
    }
    assert found["units"] == {"Stk": "each", "lfm": "m"}
    assert "# tax_included_percent = 19    # ? the heading of the price says that tax is in it" in text


@pytest.mark.parametrize(
    ("lines", "table", "columns"),
    [
        (
            "Description,Dia,Length,Material,Qty/Box,Price\nscrew,#8,2,stainless,100,8.40\n",
            "hardware",
            {"kind": "Description", "size": "Dia", "length": "Length", "material": "Material", "pack": "Qty/Box"},
        ),
        (
            "Artikel;Gewinde;Werkstoff;VPE;Preis\nMutter;M8;A2;100;8,40\n",
            "hardware",
            {"kind": "Artikel", "size": "Gewinde", "material": "Werkstoff", "pack": "VPE"},
        ),
        (
            "Product,Can size,Price\noil,1 gal,78.50\n",
            "finishes",
            {"product": "Product", "container": "Can size"},
        ),
        (
            "Bezeichnung;Gebinde;Preis\nHartöl;2,5 l;59,00\n",
            "finishes",
            {"product": "Bezeichnung", "container": "Gebinde"},
        ),
        (
            "Item,Pack,Unit,Price\ndisc,10,discs,7.80\n",
            "consumables",
            {"item": "Item", "pack": "Pack", "unit": "Unit"},
        ),
    ],
)
def test_the_table_is_found_by_what_the_list_holds(lines: str, table: str, columns: dict[str, str]) -> None:
    found, _ = proposed(lines)
    assert found["table"] == table
    price = "Preis" if "Preis" in lines else "Price"
    assert found["columns"] == {**columns, "price": price}


def test_a_near_name_is_marked_and_what_is_missing_stands_as_a_remark() -> None:
    found, text = proposed("Timbr,Size,Length,Price\noak,2x4,8,9.80\n")
    assert found["columns"]["species"] == "Timbr"
    assert 'species = "Timbr"  # ? the nearest name' in text
    assert '# per = ""  # ? is needed, and no heading is like it' in text
    assert '# grade = ""\n' in text
    assert 'length = "Length"  # ? bare numbers are in the unit of your shop; else write "{Length} ft"' in text


def test_what_a_price_is_per_may_stand_in_its_heading() -> None:
    found, _ = proposed("Holzart;Stärke;Breite;Länge;Preis/m³\nEiche;52;160;2000;1480,00\n")
    assert found["values"] == {"per": "m3"}
    assert found["columns"]["price"] == "Preis/m³"
    found, _ = proposed("Description,Size,Material,Pack,Price per 100\nscrew,#8,steel,200,8.40\n")
    assert found["values"] == {"per": "100"}


def test_lumber_sold_by_volume_without_lengths_is_of_random_length() -> None:
    found, text = proposed("Species,Thick.,Price per bf\nwhite oak,8/4,9.80\n")
    assert found["values"] == {"length": "random", "per": "bf"}
    assert 'length = "random"  # ? sold by volume, and no heading is like a length' in text


def test_a_workbook_is_proposed_for_like_a_csv() -> None:
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.append(["Fernhill"])
    sheet.append(["Timber", 'List\n"Price"', "Size", "Length", "UOM"])
    sheet.append(["oak", 12.5, "2x4", "8 ft", "pc"])
    raw = io.BytesIO()
    book.save(raw)
    found, _ = proposed(raw.getvalue(), "yard.xlsx")
    assert found["columns"]["species"] == "Timber"
    assert found["columns"]["per"] == "UOM"


def test_a_list_without_known_headings_is_refused_with_a_remedy() -> None:
    findings = Findings()
    assert proposed_map(b"alpha,beta\n1,2\n", "yard.csv", findings) == ""
    (fault,) = findings.faults
    assert "yard.csv: has no row of headings that this program knows near its top; write the map by hand" in str(fault)


def test_a_proposal_looked_over_is_a_map(tmp_path: Path) -> None:
    _, text = proposed("Timber,Size,Length,Price,Unit\noak,2x4,8 ft,9.80,each\n")
    path = tmp_path / "fernhill.map.toml"
    path.write_text(text, encoding="utf-8")
    findings = Findings()
    assert read_supplier_map(path, findings).table == "lumber"
    assert findings == Findings()


def test_the_vocabulary_knows_our_own_names_and_only_those() -> None:
    assert set(HEADINGS) == set(SOLD) == set(TELLING)
    for table, columns in HEADINGS.items():
        ours = {column.name for column in SOLD[table]} | {"per", "thickness", "width"}
        assert set(columns) <= ours
        assert ours - set(columns) <= {"supplier", "thickness", "width"}
        for column, words in columns.items():
            assert words_of(column) in [words_of(word) for word in words.split(",")]


def test_every_unit_of_ours_is_one_that_a_list_can_be_priced_by() -> None:
    for ours in UNITS:
        of_pieces = ours in ("pack", "12", "100", "1000")
        assert our_unit(ours, "hardware" if of_pieces else "lumber") == ours
        assert is_unit("hardware" if of_pieces else "lumber", ours)


@pytest.mark.parametrize(
    ("heading", "words", "unit", "per"),
    [
        ("List Price (USD)", "list price", "", ""),
        ("Länge (mm)", "länge", "mm", ""),
        ("Length, ft.", "length", "ft", ""),
        ("Width in", "width", "in", ""),
        ("Preis € je m²", "preis", "", "m2"),
        ("Price / 100", "price", "", "100"),
        ("Preis inkl. 19 % MwSt.", "preis", "", ""),
        ("PRICE", "price", "", ""),
        ("U/M", "u/m", "m", "1000"),
        ("Price/M", "price", "m", "1000"),
        ("", "", "", ""),
    ],
)
def test_a_heading_says_words_unit_and_what_a_price_is_per(heading: str, words: str, unit: str, per: str) -> None:
    assert (words_of(heading), unit_of(heading), priced_per(heading, "hardware")) == (words, unit, per)


MILLWORK = """Kind,Size,Length,Material,Qty,Net price,Gross price,{heading},Eff. date
screw,#8,2 in,stainless,1,14.10,16.92,C,11/02/2026
screw,#8,1 1/4 in,stainless,1,112.00,134.40,M,11/02/2026
nut,5/16-18,,stainless,12,3.10,3.72,DZ,11/02/2026
bolt,5/16-18,3 1/2 in,stainless,1,1.80,2.16,ea.,11/02/2026
"""


@pytest.mark.parametrize(
    "heading", ["U/M", "UM", "UOM", "Unit of measure", "Sold by", "Per", "Einheit", "ME", "u/m", "Basis"]
)
def test_the_trades_hundred_thousand_and_dozen_are_proposed_and_marked(heading: str) -> None:
    found, text = proposed(MILLWORK.replace("{heading}", heading))
    assert (found["table"], found["columns"]["per"], found["columns"]["pack"]) == ("hardware", heading, "Qty")
    assert found["units"] == {"C": "100", "M": "1000", "DZ": "12", "ea.": "each"}
    for line in ('"C" = "100"  # ?', '"M" = "1000"  # ?', '"DZ" = "12"  # ?'):
        assert line in text
    assert ('per = "Basis"  # ? by the words in it' in text) == (heading == "Basis")


def test_a_yards_thousand_is_asked_for() -> None:
    found, text = proposed("Timber,Size,Length,Price,UOM\noak,2x4,8 ft,980.00,M\n")
    assert found["units"] == {}
    assert '# "M" = ""  # ? "MBF", a thousand board feet, or "m", a metre' in text
    found, text = proposed("Timber,Size,Length,Price/M\noak,2x4,8 ft,980.00\n")
    assert '# per = ""  # ? is needed, and no heading is like it' in text


def test_two_columns_of_prices_are_marked() -> None:
    found, text = proposed(MILLWORK.replace("{heading}", "U/M"))
    assert found["columns"]["price"] == "Net price"
    assert 'price = "Net price"  # ? or "Gross price": which do you pay?' in text
    assert (
        '# price = ""  # ? is needed, and "Price" heads 2 columns: rename'
        in proposed("Item,Pack,Unit,Price,Price\nrag,25,rags,8.90,9.90\n")[1]
    )


def test_a_unit_that_says_what_packs_hold_is_the_pack() -> None:
    found, _ = proposed("Kind,Size,Material,Price,Sold by\nscrew,#8,steel,8.40,Box of 100\nnut,M8,steel,2,25 pcs\n")
    assert found["columns"]["pack"] == "Sold by"
    assert "per" not in found["columns"]


def test_the_unit_of_consumables_is_what_a_price_is_per_where_no_pack_is_named() -> None:
    found, text = proposed("Item,Price,Unit\nrag,8.90,C\nglove,12.40,DZ\n")
    assert (found["table"], found["columns"]["per"]) == ("consumables", "Unit")
    assert 'per = "Unit"  # ? what prices are per, or is it what a pack is counted in (unit)?' in text


def test_bare_nominal_sizes_are_put_together_as_such() -> None:
    found, text = proposed("Species,Thick,Wide,Length (ft),Price,UOM\nlarch,2,4,8,15.10,EA\nlarch,5/4,6,8,23.36,EA\n")
    assert found["columns"]["section"] == "{Thick}x{Wide}"
    assert 'section = "{Thick}x{Wide}"  # ? nominal (2x4); measured would be "{Thick} x {Wide} in"' in text
    found, _ = proposed("Species,Thick,Wide,Length (ft),Price,UOM\nlarch,1.5,3.5,8,15.10,EA\n")
    assert found["columns"]["section"] == "{Thick} x {Wide} in"


@pytest.mark.parametrize(
    ("day", "line"),
    [
        ("11/02/2026", '# date_order = "month day year"  # ? or "day month year": 11/02/2026 could be both'),
        ("11/20/2026", 'date_order = "month day year"  # ? as a number above 12 shows'),
        ("20/11/2026", 'date_order = "day month year"  # ? as a number above 12 shows'),
        ("2026-11-02", ""),
        ("2.11.2026", ""),
    ],
)
def test_the_order_of_dates_is_proposed_or_asked_for(day: str, line: str) -> None:
    _, text = proposed(f"Timber,Size,Length,Price,Per,Date\noak,2x4,8 ft,9,each,{day}\n")
    assert [one for one in text.splitlines() if "date_order" in one] == ([line] if line else [])


def test_a_table_that_the_headings_leave_open_is_marked() -> None:
    found, text = proposed("Article,Pack,Price\nSanding disc,50 pcs,28.90\n")
    assert found["table"] == "consumables"
    assert 'table = "consumables"  # ? or "hardware": the headings leave it open' in text
    assert 'table = "lumber"\n' in proposed("Timber,Size,Length,Price,UOM\noak,2x4,8 ft,10.00,pc\n")[1]


def test_a_grade_that_a_species_ends_is_not_proposed_to_go_on() -> None:
    head = "Species,Grade,Thick,Length,Price/bf\nwhite oak,FAS,8/4,random,11.90\n"
    found, _ = proposed(f"{head}red oak,,4/4,random,5.95\n")
    assert "carried_down" not in found
    found, _ = proposed(f"{head}white oak,,4/4,random,5.95\n")
    assert found["carried_down"] == ["grade"]


def test_a_list_on_a_later_sheet_is_found() -> None:
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    first.title = "Info"
    first.append(["Prices on the next sheet"])
    for title, rows in (("Kiln dried", ["Species", "Size", "Length", "Price"]), ("Plywood", ["Sheet", "Price"])):
        sheet = book.create_sheet(title)
        sheet.append(rows)
        sheet.append(["oak", "2x4", "8 ft", 9.8][: len(rows)])
    raw = io.BytesIO()
    book.save(raw)
    findings = Findings()
    text = proposed_map(raw.getvalue(), "cobb.xlsx", findings)
    assert findings == Findings()
    assert 'sheet = "Kiln dried"  # ? the others: "Info", "Plywood"' in text
    assert tomllib.loads(text)["columns"]["species"] == "Species"


@settings(max_examples=100)
@given(st.lists(st.text(max_size=12), min_size=1, max_size=5), st.lists(st.text(max_size=6), max_size=5))
def test_any_headings_give_toml_or_a_fault(headings: list[str], cells: list[str]) -> None:
    quoted = [f'"{text.replace(chr(34), chr(34) * 2)}"' for text in ("Timber", "Price", *headings)]
    findings = Findings()
    text = proposed_map((",".join(quoted) + "\n" + ",".join(cells)).encode("utf-8", "ignore"), "yard.csv", findings)
    assert bool(text) != bool(findings.faults)
    assert tomllib.loads(text) or not text


@pytest.mark.parametrize(
    ("heading", "column"),
    [
        ("Thk", "thickness"),
        ("Thick.", "thickness"),
        ("Wd", "width"),
        ("Wdth", "width"),
        ("Lgth", "length"),
        ("Lgt", "length"),
        ("Len", "length"),
        ("Cost/BF", "price"),
        ("Cost/LF", "price"),
        ("$/BF", "price"),
        ("Net $", "price"),
        ("Price ea.", "price"),
        ("Price (BF)", "price"),
        ("Eff.", "date"),
        ("Eff. date", "date"),
    ],
)
def test_short_headings_are_known(heading: str, column: str) -> None:
    assert words_of(heading) in [name.strip() for name in HEADINGS["lumber"][column].replace("\n", " ").split(",")]


def test_a_list_in_short_headings_is_one_of_lumber_by_the_board_foot() -> None:
    found, text = proposed("Wood,Grade,Thk,Wd,Lgth,$/BF,Eff.\nwalnut,FAS,5/4,6,8,12.40,2026-11-02\n")
    assert found["columns"] == {
        "species": "Wood",
        "grade": "Grade",
        "section": "{Thk}x{Wd}",
        "length": "Lgth",
        "price": "$/BF",
        "date": "Eff.",
    }
    assert (found["table"], found["values"]) == ("lumber", {"per": "bf"})
    assert "# not used" not in text


def test_a_price_by_the_board_or_the_running_foot_decides_for_lumber() -> None:
    for heading, per in (("Cost/LF", "ft"), ("Cost/BF", "bf")):
        found, text = proposed(f"Name,Size,{heading}\nash,1x6,3.10\n")
        assert (found["table"], found["values"]["per"]) == ("lumber", per)
        assert "leave it open" not in text


def test_a_heading_of_nothing_but_a_unit_is_a_price_to_look_over_where_no_other_is() -> None:
    found, text = proposed("Wood,Thk,Wd,BF\nwalnut,5/4,6,12.40\n")
    assert (found["columns"]["price"], found["values"]["per"]) == ("BF", "bf")
    assert 'price = "BF"  # ? what one costs, or how many there are?' in text
    found, text = proposed("Wood,Thk,Wd,BF,Price\nwalnut,5/4,6,40,12.40\n")
    assert found["columns"]["price"] == "Price"
    assert '# not used: "BF"' in text


def test_a_price_each_is_per_board_in_a_list_of_lumber_only() -> None:
    assert (priced_per("Price ea.", "lumber"), priced_per("Price ea.", "hardware")) == ("each", "")
