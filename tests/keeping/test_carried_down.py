from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.keeping.mapped import GROUP, mapped_rows, taken_columns
from estimator.keeping.proposal import proposed_map
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import read_supplier_map
from estimator.money import Currency
from tests.keeping.test_sheets import new_book, saved

BOARDS = """
supplier = "Fernhill Sawmill Yard"
table = "lumber"
carried_down = ["species", "grade"]

[columns]
section = "Size"
length = "Length"
price = "Price"

[values]
per = "each"

[groups]
"WESTERN LARCH, SELECT" = "western larch; Select"
"White Oak - FAS" = "white oak; FAS"
"WHITE OAK" = "white oak;"
"FAS" = "; FAS"
"Page 2" = ""
"""
GROUPED = """Fernhill Sawmill Yard,,
Size,Length,Price
"WESTERN LARCH, SELECT",,
2x4,8 ft,14.88
2x4,10 ft,18.60
WHITE OAK - FAS,,
8/4x6,8 ft,61.00
All prices without tax,,
"""
COLUMNS = """
supplier = "Fernhill Sawmill Yard"
table = "lumber"
carried_down = ["species", "grade", "section"]
{top}
[columns]
species = "Timber"
grade = "Grade"
section = "Size"
length = "Length"
price = "Price"

[values]
per = "each"
"""
HEAD = "Timber,Grade,Size,Length,Price\n"
FIRST_ROW_ONLY = f"""{HEAD}western larch,Select,2x4,8 ft,14.88
,,,10 ft,18.60
,,2x6,8 ft,22.00
white oak,FAS,8/4x6,8 ft,61.00
,,,10 ft,76.00
"""
Wood = tuple[str, str, str, str]


def mapped(folder: Path, map_text: str, content: str | bytes) -> tuple[list[dict[str, str]], Findings]:
    path = folder / "fernhill.map.toml"
    path.write_text(map_text, encoding="utf-8")
    findings = Findings()
    map_ = read_supplier_map(path, findings)
    findings.raise_faults()
    raw = content.encode() if isinstance(content, str) else content
    sheet = open_sheet(raw, "yard.csv", findings, decimal=map_.decimal)
    assert sheet is not None
    rows = mapped_rows(sheet, map_, findings, day=date(2026, 11, 24), unit="in", currency=Currency(code="USD"))
    names = [column.name for column in taken_columns(map_.table)]
    return [dict(zip(names, row.cells, strict=True)) for row in rows], findings


def woods(rows: list[dict[str, str]]) -> list[Wood]:
    return [(row["species"], row["grade"], row["section"], row["price"]) for row in rows]


def faults(folder: Path, map_text: str, content: str) -> list[str]:
    return [str(fault).removeprefix("yard.csv:") for fault in mapped(folder, map_text, content)[1].faults]


def map_faults(folder: Path, text: str) -> list[str]:
    path = folder / "fernhill.map.toml"
    path.write_text(text, encoding="utf-8")
    findings = Findings()
    read_supplier_map(path, findings)
    return [str(fault).partition("fernhill.map.toml:")[2] for fault in findings.faults]


def test_goods_below_a_row_that_stands_alone_are_what_the_map_says_of_it(tmp_path: Path) -> None:
    rows, findings = mapped(tmp_path, BOARDS, GROUPED)
    assert findings.faults == []
    assert woods(rows) == [
        ("western larch", "Select", "2x4", "14.88"),
        ("western larch", "Select", "2x4", "18.60"),
        ("white oak", "FAS", "8/4x6", "61.00"),
    ]
    assert [str(notice) for notice in findings.notices] == [f"yard.csv: {GROUP} (3 rows, the first on line 3)"]


def test_a_blank_takes_what_stands_above_it(tmp_path: Path) -> None:
    rows, findings = mapped(tmp_path, COLUMNS.format(top=""), FIRST_ROW_ONLY)
    assert findings == Findings()
    assert woods(rows) == [
        ("western larch", "Select", "2x4", "14.88"),
        ("western larch", "Select", "2x4", "18.60"),
        ("western larch", "Select", "2x6", "22.00"),
        ("white oak", "FAS", "8/4x6", "61.00"),
        ("white oak", "FAS", "8/4x6", "76.00"),
    ]


def test_without_it_a_blank_stays_a_fault_and_a_row_that_stands_alone_a_title(tmp_path: Path) -> None:
    alone = COLUMNS.format(top="").replace('carried_down = ["species", "grade", "section"]', "")
    first, *_ = faults(tmp_path, alone, FIRST_ROW_ONLY)
    assert first.startswith("3: Size, Timber: are missing; write a word of its row under skip in fernhill.map.toml, or")
    assert first.endswith("or name species, section under carried_down")
    assert "such as titles" in mapped(tmp_path, alone, f"{HEAD}OAK\noak,FAS,2x4,8 ft,9.80\n")[1].notices[0].message


def test_cells_that_are_merged_in_a_workbook_are_read_the_same(tmp_path: Path) -> None:
    book, sheet = new_book()
    for line in FIRST_ROW_ONLY.splitlines():
        sheet.append([float(cell) if "." in cell else cell or None for cell in line.split(",")])
    for cells in ("A2:A4", "B2:B4", "C2:C3", "A5:A6", "B5:B6", "C5:C6"):
        sheet.merge_cells(cells)
    rows, findings = mapped(tmp_path, COLUMNS.format(top=""), saved(book))
    assert findings == Findings()
    assert woods(rows) == woods(mapped(tmp_path, COLUMNS.format(top=""), FIRST_ROW_ONLY)[0])


def test_a_heading_merged_over_all_columns_of_a_workbook_is_read_the_same(tmp_path: Path) -> None:
    book, sheet = new_book()
    for row in (["Size", "Length", "Price"], ["WESTERN LARCH, SELECT"], ["2x4", "8 ft", 14.88]):
        sheet.append(row)
    sheet.merge_cells("A2:C2")
    rows, findings = mapped(tmp_path, BOARDS, saved(book))
    assert findings.faults == []
    assert woods(rows) == [("western larch", "Select", "2x4", "14.88")]


def test_a_price_that_is_merged_over_two_goods_is_a_fault(tmp_path: Path) -> None:
    book, sheet = new_book()
    for row in (HEAD.strip().split(","), ["oak", "FAS", "2x4", "8 ft", 9.8], ["oak", "FAS", "2x6", "8 ft"]):
        sheet.append(row)
    sheet.merge_cells("E2:E3")
    _, findings = mapped(tmp_path, COLUMNS.format(top=""), saved(book))
    assert [str(fault) for fault in findings.faults] == [
        "yard.csv:3: Price: is missing; write a word of its row under skip in fernhill.map.toml, or have it filled in"
    ]


def test_headings_within_headings_fill_their_own_columns(tmp_path: Path) -> None:
    lines = "Size,Length,Price\nWHITE OAK\n2x4,8 ft,9\nFAS\n2x4,8 ft,12\nWHITE OAK\n2x6,8 ft,10\n"
    assert woods(mapped(tmp_path, BOARDS, lines)[0]) == [
        ("white oak", "", "2x4", "9.00"),
        ("white oak", "FAS", "2x4", "12.00"),
        ("white oak", "", "2x6", "10.00"),  # the grade belonged to the species above
    ]


def test_a_row_that_stands_alone_and_means_nothing_leaves_all_as_it_was(tmp_path: Path) -> None:
    lines = "Size,Length,Price\nWHITE OAK - FAS\n2x4,8 ft,9\npage 2\n2x6,8 ft,12\n"
    assert [wood[0] for wood in woods(mapped(tmp_path, BOARDS, lines)[0])] == ["white oak", "white oak"]


def test_one_that_the_map_does_not_know_is_a_fault_where_goods_would_hang_on_it(tmp_path: Path) -> None:
    lines = "Size,Length,Price\nWHITE OAK - FAS\n2x4,8 ft,9\nRED OAK\n2x4,8 ft,8\n2x6,8 ft,12\n"
    (said,) = faults(tmp_path, BOARDS, lines)
    remedy = (
        'write "RED OAK" = "species; grade" under [groups] in fernhill.map.toml with what it means, or = "" if nothing'
    )
    assert said == f'4: "RED OAK" stands alone above goods that leave species to it; {remedy}'
    assert len(faults(tmp_path, BOARDS, "Size,Length,Price\nRED OAK\nFAS\n2x4,8 ft,8\n")) == 1
    assert faults(tmp_path, BOARDS, "Size,Length,Price\nRED OAK\nWHITE OAK\n2x4,8 ft,8\nthank you\n") == []
    assert faults(tmp_path, BOARDS.replace("table", 'skip = ["red"]\ntable'), lines)[1:] == []


def test_goods_that_say_all_themselves_hang_on_no_heading(tmp_path: Path) -> None:
    lines = f"{HEAD}NEW THIS MONTH,,,,\noak,FAS,2x4,8 ft,9.80\n"
    assert faults(tmp_path, COLUMNS.format(top=""), lines) == []
    assert len(faults(tmp_path, COLUMNS.format(top=""), f"{lines}NEW THIS MONTH,,,,\n,,,10 ft,12.00\n")) == 1


def test_a_blank_where_the_column_before_it_changes_is_a_fault(tmp_path: Path) -> None:
    lines = f"{HEAD}white oak,FAS,2x4,8 ft,9.80\nwestern larch,,2x4,8 ft,4.80\n"
    (fault,) = faults(tmp_path, COLUMNS.format(top=""), lines)
    assert fault == (
        '3: Grade: is blank where Timber changes, so it is unclear whether "FAS" goes on; fill it in, '
        'or take "grade" out of carried_down in fernhill.map.toml'
    )
    same = f"{HEAD}white oak,FAS,2x4,8 ft,9.80\nWhite Oak,,2x6,8 ft,12.80\n"
    assert [row["grade"] for row in mapped(tmp_path, COLUMNS.format(top=""), same)[0]] == ["FAS", "FAS"]


def test_a_blank_with_nothing_above_it_is_a_fault_where_it_is_needed(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, COLUMNS.format(top=""), f"{HEAD},,2x4,8 ft,9.80\n")
    assert (
        fault == "2: Timber: is missing; write a word of its row under skip in fernhill.map.toml, or have it filled in"
    )
    (fault,) = faults(tmp_path, BOARDS, "Size,Length,Price\n2x4,8 ft,9\n")
    assert fault == "2: species: is missing; write species under [groups] in fernhill.map.toml"


def test_goods_that_are_skipped_still_say_what_goes_on_below(tmp_path: Path) -> None:
    skipping = COLUMNS.format(top='skip = ["discontinued", "page"]')
    lines = f"{HEAD}ash,FAS,2x4,8 ft,5\noak,FAS,2x4 discontinued,8 ft,9.80\n,,2x6,10 ft,12\n"
    rows, findings = mapped(tmp_path, skipping, lines)
    assert findings.faults == []
    assert woods(rows)[1] == ("oak", "FAS", "2x6", "12.00")
    unpriced = lines.replace("9.80", "")
    assert faults(tmp_path, skipping, unpriced) == [
        '3: is passed over, and goods below it may leave "oak" to it; fill in Timber in the first row below it'
    ]
    footer = f"{HEAD}ash,FAS,2x4,8 ft,5\nPage 2,,,,\n,,,10 ft,6\n"
    assert faults(tmp_path, skipping, footer) == []


def test_values_of_groups_are_ours_whatever_the_lists_decimals(tmp_path: Path) -> None:
    text = """
supplier = "Fernhill"
table = "lumber"
decimal = ","
carried_down = ["length"]
[columns]
species = "Holzart"
section = "Maß"
price = "Preis"
[values]
per = "each"
[groups]
"Längen 2,4 m" = "2.400 m"
"""
    rows, findings = mapped(tmp_path, text, "Holzart;Maß;Preis\nLängen 2,4 m\nLärche;27,5 x 120 mm;9,80\n")
    assert findings.faults == []
    assert [(row["length"], row["section"], row["price"]) for row in rows] == [("2.400 m", "27.5 x 120 mm", "9.80")]


def test_price_breaks_below_their_goods_are_read(tmp_path: Path) -> None:
    text = """
supplier = "Bramble Lane"
table = "hardware"
carried_down = ["kind", "size", "pack"]
[columns]
kind = "Description"
size = "Size"
pack = "Pack"
from_quantity = "From"
price = "Price"
[values]
material = "steel"
"""
    lines = "Description,Size,Pack,From,Price\nwood screw,#8,100,1,7.40\n,,,10,6.90\n,,,50,6.20\n"
    rows, findings = mapped(tmp_path, text, lines)
    assert findings.faults == []
    assert [(row["size"], row["from_quantity"], row["price"]) for row in rows] == [
        ("#8", "1", "7.40"),
        ("#8", "10", "6.90"),
        ("#8", "50", "6.20"),
    ]


def test_a_map_that_carries_down_what_cannot_be_is_told_all_at_once(tmp_path: Path) -> None:
    text = """supplier = "Fernhill"
table = "lumber"
carried_down = ["price", "specie", "per", "grade", "species", "species"]
[columns]
species = "Timber"
section = "Size"
length = "Length"
price = "Price"
[values]
per = "each"
"""
    assert [one.partition("; ")[0] for one in map_faults(tmp_path, text)] == [
        '3: carried_down: "price" cannot be carried down',
        '3: carried_down: "specie" cannot be carried down (did you mean "species"?)',
        '3: carried_down: "per" stands under [values] too',
        '3: carried_down: nothing fills "grade"',
        "3: carried_down: names a column twice",
    ]


def test_groups_that_do_not_say_each_column_are_faults_on_their_lines(tmp_path: Path) -> None:
    (said,) = map_faults(tmp_path, BOARDS.replace('"white oak; FAS"', '"white oak"'))
    complaint = '"white oak" does not say what each column is that is carried down'
    ways = '"species; grade", "white oak;" with ";" behind where the rest is blank, or "" for nothing'
    assert said == f'16: groups: {complaint}; write "White Oak - FAS" = {ways}'
    unused = BOARDS.replace('carried_down = ["species", "grade"]', "")
    assert len([one for one in map_faults(tmp_path, unused) if "fills no column" in one]) == 5


WORDS = st.sampled_from(["oak", "ash", "elm", ""])


@given(rows=st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=8))
def test_what_is_carried_down_is_what_stands_next_above(
    rows: list[tuple[str, str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    lines = HEAD + "".join(f"{species},{grade},2x4,8 ft,{1 + n}\n" for n, (species, grade) in enumerate(rows))
    found, findings = mapped(tmp_path_factory.mktemp("map"), COLUMNS.format(top=""), lines)
    if not findings.faults:  # the same by looking upwards from each row
        for place, row in enumerate(found):
            above = rows[place::-1]
            assert row["species"] == next(species for species, _ in above if species)
            assert row["grade"] == next((grade for _, grade in above if grade), "")


def proposal(content: str) -> str:
    findings = Findings()
    text = proposed_map(content.encode(), "fernhill.csv", findings)
    findings.raise_faults()
    return text


def test_headings_of_groups_are_proposed_and_lead_to_the_same_goods(tmp_path: Path) -> None:
    text = proposal(GROUPED.replace("Price", "Price each"))
    assert 'table = "lumber"' in text
    assert 'carried_down = ["species", "grade"]' in text
    assert '"WESTERN LARCH, SELECT" = "WESTERN LARCH; SELECT"  # ?' in text
    assert '"WHITE OAK - FAS" = ""  # ?' not in text.partition("[groups]")[0]
    assert "without tax" not in text  # no goods follow
    by_hand = text.replace('"WHITE OAK - FAS" = ""', '"WHITE OAK - FAS" = "white oak; FAS"').replace("# per", "per")
    rows, findings = mapped(
        tmp_path, by_hand.replace('per = ""', 'per = "each"'), GROUPED.replace("Price", "Price each")
    )
    assert findings.faults == []
    assert [wood[0].lower() for wood in woods(rows)] == ["western larch", "western larch", "white oak"]


def test_columns_that_are_filled_once_are_proposed_and_lead_to_the_same_goods(tmp_path: Path) -> None:
    text = proposal(FIRST_ROW_ONLY)
    assert 'carried_down = ["species", "grade", "section"]  # ? written once, for the rows below too' in text
    assert "[groups]" not in text
    rows, findings = mapped(tmp_path, text.replace('# per = ""', 'per = "each"'), FIRST_ROW_ONLY)
    assert findings.faults == []
    assert woods(rows) == woods(mapped(tmp_path, COLUMNS.format(top=""), FIRST_ROW_ONLY)[0])


def test_kinds_of_screws_that_stand_alone_are_proposed() -> None:
    text = proposal("Size,Material,Pack,Price\nWood screws\n#8,steel,100,7.40\nLag screws\n1/4 in,steel,50,9.80\n")
    assert 'carried_down = ["kind"]' in text
    assert '"Wood screws" = "Wood screws"  # ?\n"Lag screws" = "Lag screws"  # ?' in text


def test_titles_in_a_list_that_names_its_goods_in_every_row_are_no_groups() -> None:
    text = proposal(f"{HEAD}HARDWOODS,,,,\noak,FAS,2x4,8 ft,9.80\nash,FAS,2x4,8 ft,9.80\n")
    assert "carried_down" not in text
    assert "[groups]" not in text


ONLY_GRADE = COLUMNS.format(top="").replace('["species", "grade", "section"]', '["grade"]')


def test_a_grade_does_not_go_on_below_another_species_that_is_written_in_each_row(tmp_path: Path) -> None:
    lines = f"{HEAD}white oak,FAS,2x4,8 ft,9.80\nwhite oak,,2x6,8 ft,9.80\nred oak,,2x4,8 ft,4.80\n"
    (fault,) = faults(tmp_path, ONLY_GRADE, lines)
    assert fault.startswith(
        '4: Grade: is blank where Timber changes, so it is unclear whether "FAS" goes on; fill it in'
    )
    assert fault.endswith('or take "grade" out of carried_down in fernhill.map.toml')


def test_a_row_that_is_passed_over_does_not_hide_the_change(tmp_path: Path) -> None:
    skipping = ONLY_GRADE.replace("[columns]", 'skip = ["on request"]\n[columns]', 1)
    lines = f"{HEAD}white oak,FAS,2x4,8 ft,9.80\nred oak,,2x4,8 ft,on request\nred oak,,2x6,8 ft,4.80\n"
    (fault,) = faults(tmp_path, skipping, lines)
    assert fault.startswith("4: Grade: is blank where Timber changes")


def test_a_grade_written_again_goes_on_below_its_own_species(tmp_path: Path) -> None:
    lines = f"{HEAD}white oak,FAS,2x4,8 ft,9.80\nred oak,No. 1,2x4,8 ft,4\nRed Oak,,2x6,8 ft,4.80\n"
    assert [row["grade"] for row in mapped(tmp_path, ONLY_GRADE, lines)[0]] == ["FAS", "No. 1", "No. 1"]
