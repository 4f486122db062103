from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.keeping.price_units import OUR_UNITS
from estimator.keeping.supplier_map import (
    SupplierMap,
    headings_in,
    needed_columns,
    our_columns,
    read_supplier_map,
)
from estimator.reading.sold import SOLD

SOUND = """
supplier = "Bramble Lane Hardware"
table = "hardware"
sheet = "Prices"
heading_row = 3
skip = ["Discontinued", "on order"]
date = 2026-11-01
decimal = ","
tax_included_percent = 19
discount_percent = 12.5

[columns]
kind = "Description"
size = "M{Diameter}"
"length" = "{Length} mm"
price = "List price"
per = "Unit"

[values]
material = "stainless A2"
pack = 100

[units]
"Stk." = "each"
"VE" = "pack"
"""


def read(folder: Path, text: str, name: str = "bramble.map.toml") -> tuple[SupplierMap, list[str]]:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    findings = Findings()
    found = read_supplier_map(path, findings)
    return found, [str(fault).partition(name)[2].removeprefix(":") for fault in findings.faults]


def test_a_map_is_read_with_all_it_says(tmp_path: Path) -> None:
    found, faults = read(tmp_path, SOUND)
    assert faults == []
    assert (found.supplier, found.table, found.name) == ("Bramble Lane Hardware", "hardware", "bramble")
    assert (found.sheet, found.heading_row, found.skip) == ("Prices", 3, ("Discontinued", "on order"))
    assert (found.day, found.decimal) == (date(2026, 11, 1), ",")
    assert (found.tax_included_percent, found.discount_percent) == (Decimal(19), Decimal("12.5"))
    assert found.columns["size"] == "M{Diameter}"
    assert dict(found.values) == {"material": "stainless A2", "pack": "100"}
    assert dict(found.units) == {"stk.": "each", "ve": "pack"}
    assert found.at("price").line == 16
    assert found.at("material").line == 20


def test_the_headings_of_a_column_stand_in_braces_or_are_all_of_it() -> None:
    assert headings_in("List price") == ("List price",)
    assert headings_in("{Thickness} x { Width } mm") == ("Thickness", "Width")


@pytest.mark.parametrize("table", SOLD)
def test_a_map_may_fill_every_column_of_ours_and_must_fill_what_tells_goods_apart(table: str) -> None:
    ours = {column.name for column in SOLD[table]} | {"per"}
    assert set(our_columns(table)) == ours
    assert "price" in needed_columns(table)
    assert not {"supplier", "date", "note", "pack", "container"} & set(needed_columns(table))


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('supplier = "Bramble Lane Hardware"', "", "supplier: is missing; fill it in"),
        ('table = "hardware"', 'table = "wood"', '3: table: "wood" is not known here; write one of: lumber,'),
        ("heading_row = 3", "heading_row = 0", '5: heading_row: "0" does not fit here; write a whole number'),
        ("date = 2026-11-01", 'date = "1/11/2026"', '7: date: "1/11/2026" is read day first in one country'),
        ('decimal = ","', 'decimal = ";"', '8: decimal: ";" is not known here; write one of: ., ,'),
        ("tax_included_percent = 19", "tax_included_percent = 190", "9: tax_included_percent: "),
        ("discount_percent", "discount", '10: "discount" is not a setting (did you mean "discount_percent"?)'),
        ("[values]", '[values]\nsize = "M8"', "14: size: stands under [values] too; keep one of them"),
        ('price = "List price"', "", '12: columns: nothing fills the column "price" of the hardware; write price ='),
        ("[units]", "[unit]\n", '23: "unit" is not a setting (did you mean "units"?)'),
        ('kind = "Description"', 'species = "Description"', '13: columns: "species" is not a setting'),
        ("[columns]", "[columns", "12: is not valid TOML"),
    ],
)
def test_what_is_wrong_with_a_map_is_said_with_its_line(old: str, new: str, fault: str, tmp_path: Path) -> None:
    assert SOUND.count(old) == 1
    _, faults = read(tmp_path, SOUND.replace(old, new))
    assert any(one.strip().startswith(fault) for one in faults), faults


def test_a_price_is_no_single_value_and_packs_need_a_column(tmp_path: Path) -> None:
    text = (
        'supplier = "A"\ntable = "hardware"\n[columns]\nkind = "K"\nsize = "S"\nmaterial = "M"\n[values]\nprice = 4\n'
    )
    _, faults = read(tmp_path, text)
    assert faults == [
        "8: price: is one for every row; name their column under [columns]",
        "3: columns: nothing says what a price is per; write pack or per under [columns] or [values]",
    ]


@pytest.mark.parametrize("text", ["{Thick x {Wide}", "{Thick}}", "{{Thick}}", "Thick}x{Wide}", "{}", "{ }x{Wide}"])
def test_a_brace_forgotten_or_doubled_is_a_fault_of_the_map(text: str, tmp_path: Path) -> None:
    _, faults = read(tmp_path, SOUND.replace('size = "M{Diameter}"', f'size = "{text}"'))
    remedy = 'write { before and } behind each heading, like size = "{Heading}"'
    assert faults == [f'14: size: "{text}" has a brace too many or too few; {remedy}']


@pytest.mark.parametrize(
    ("table", "fine", "wrong"),
    [
        ("lumber", "piece|100 ft|m2|MBF", "M|stone|"),
        ("hardware", "box of 50|12|lb|each", "gal|"),
        ("finishes", "gal|can|5 gal pail|L", "ft|"),
        ("consumables", "rags|100|pack", ""),
    ],
)
def test_a_unit_is_one_that_prices_of_the_table_can_be_per(table: str, fine: str, wrong: str, tmp_path: Path) -> None:
    for ours in [*fine.split("|"), *wrong.split("|")]:
        _, faults = read(tmp_path, f'supplier = "A"\ntable = "{table}"\n[units]\n"EA" = "{ours}"\n')
        told = [one for one in faults if one.startswith("4: units")]
        expected = f'4: units: "EA" = "{ours}" is nothing that prices of {table} are per; write {OUR_UNITS[table]}'
        assert told == ([expected] if ours in wrong.split("|") else [])


def test_a_wrong_table_and_no_supplier_hide_no_fault_further_down(tmp_path: Path) -> None:
    text = (
        'table = "hardwear"\ncarried_down = ["kinds"]\n[columns]\nkind = "{K"\nsise = "S"\nmaterial = "M"\n'
        '[values]\nmaterial = "steel"\nprice = 4\n[units]\n"EA" = ""\n'
    )
    _, faults = read(tmp_path, text)
    starts = [
        '1: table: "hardwear" is not known here; write one of: lumber, hardware, finishes, consumables',
        '5: columns: "sise" is not a setting (did you mean "size"?)',
        " supplier: is missing",
        '2: carried_down: "kinds" cannot be carried down (did you mean "kind"?)',
        '4: kind: "{K" has a brace too many or too few',
        "6: material: stands under [values] too; keep one of them",
        "9: price: is one for every row",
        '11: units: "EA" = "" is nothing that prices of any table are per',
    ]
    assert len(faults) == len(starts)
    for fault, start in zip(faults, starts, strict=True):
        assert fault.startswith(start), fault


def test_a_misspelt_column_is_told_once(tmp_path: Path) -> None:
    _, faults = read(tmp_path, SOUND.replace("price =", "prise ="))
    assert faults == ['16: columns: "prise" is not a setting (did you mean "price"?)']


def test_the_order_of_dates_is_one_of_three(tmp_path: Path) -> None:
    found, faults = read(tmp_path, SOUND.replace("decimal", 'date_order = "month day year"\ndecimal'))
    assert (found.date_order, faults) == ("month day year", [])
    _, faults = read(tmp_path, SOUND.replace("decimal", 'date_order = "American"\ndecimal'))
    assert faults[0].endswith("write one of: month day year, day month year, year month day")


@pytest.mark.parametrize("name", ["../bramble.map.toml", ".map.toml", "a\nb.map.toml", "bramble.toml", "a*b.map.toml"])
def test_a_map_has_a_name_that_a_table_can_have(name: str, tmp_path: Path) -> None:
    (tmp_path / "maps").mkdir()
    findings = Findings()
    path = tmp_path / "maps" / name
    path.write_text(SOUND, encoding="utf-8")
    found = read_supplier_map(path, findings)
    if name.startswith(".."):  # the name is that of the file, wherever it lies
        assert (found.name, findings.faults) == ("bramble", [])
    else:
        assert "is no name of a map; call it after the supplier" in str(findings.faults[0])


def test_a_map_that_is_not_there_is_one_fault(tmp_path: Path) -> None:
    findings = Findings()
    read_supplier_map(tmp_path / "nowhere.map.toml", findings)
    (fault,) = findings.faults
    assert "nowhere.map.toml: cannot be read" in str(fault)


def test_lumber_without_what_its_price_is_per_is_one_fault(tmp_path: Path) -> None:
    path = tmp_path / "yard.map.toml"
    text = 'supplier = "A"\ntable = "lumber"\n[columns]\nspecies = "a"\nsection = "b"\nlength = "c"\nprice = "d"\n'
    path.write_text(text, encoding="utf-8")
    findings = Findings()
    read_supplier_map(path, findings)
    assert [fault.message.partition(";")[0] for fault in findings.faults] == [
        'nothing fills the column "per" of the lumber'
    ]
