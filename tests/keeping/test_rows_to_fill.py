from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from estimator.errors import Fault, Origin, RowToFill
from estimator.keeping.rows_to_fill import missing_rows, proposals, tables_to_fill, usual_supplier, written_as

ASKED = Origin(file="stool/parts.csv", line=2)
TODAY = date(2026, 12, 3)


def row(table: Path, **known: str) -> RowToFill:
    return RowToFill(table=table, item="an item", origin=ASKED, known=tuple(known.items()))


def faults(*rows: RowToFill) -> list[Fault]:
    return [Fault(origin=ASKED, message="has no price; add a row", rows=(one,)) for one in rows]


def test_an_item_asked_for_twice_is_one_row_however_it_is_spelt() -> None:
    rates = Path("labour_rates.csv")
    found = missing_rows(
        faults(row(rates, rate="Lead-maker"), row(rates, rate="Helper"), row(rates, rate="lead maker"))
    )
    assert [dict(one.known)["rate"] for one in found] == ["Lead-maker", "Helper"]


def test_wood_with_and_without_a_grade_is_one_row_with_the_grade() -> None:
    lumber = Path("lumber.csv")
    open_one = row(lumber, species="larch", section="2x4")
    named = row(lumber, species="larch", grade="Select", section="2x4")
    other = row(lumber, species="larch", section="2x6")
    assert missing_rows(faults(open_one, named, other)) == (named, other)


def test_rows_come_table_by_table() -> None:
    rate, can, board = (
        row(Path("spread_rates.csv"), product="Oil"),
        row(Path("finishes.csv"), product="Oil"),
        row(Path("lumber.csv"), species="larch", section="2x4"),
    )
    assert missing_rows(faults(rate, can, board)) == (board, can, rate)


def test_a_row_has_the_columns_and_the_separator_of_the_users_own_table(tmp_path: Path) -> None:
    table = tmp_path / "hardware.csv"
    table.write_bytes(
        "Material;Kind;Shelf;Size;Length;Pack;Price;Date;Supplier\r\n"
        "brass;screw;7;#8;2;100;12,40;2026-09-15;Bramble Lane\r\n".encode("cp1252")
    )
    wanted = row(table, kind="screw", size="#8", material="stainless; A4", length="12.7 mm")
    (shown,) = tables_to_fill([wanted], TODAY)
    assert shown.heading == "Material;Kind;Shelf;Size;Length;Pack;Price;Date;Supplier"
    assert shown.lines == ('"stainless; A4";screw;;#8;12,7 mm;;;2026-12-03;Bramble Lane',)
    assert shown.new_columns == ()


def test_a_column_that_the_table_lacks_is_named_and_shown_behind_the_others(tmp_path: Path) -> None:
    table = tmp_path / "lumber.csv"
    table.write_text("supplier,species,section,length,price,per,date\n", encoding="utf-8")
    (shown,) = tables_to_fill([row(table, species="larch", grade="Select", section="2x4")], TODAY)
    assert shown.new_columns == ("grade",)
    assert shown.heading.endswith(",date,grade")
    assert shown.lines == (",larch,2x4,,,,2026-12-03,Select",)


def test_of_a_table_that_is_not_there_the_heading_is_ours(tmp_path: Path) -> None:
    (shown,) = tables_to_fill([row(tmp_path / "labour_rates.csv", rate="Maker")], TODAY)
    assert (shown.is_there, shown.heading, shown.lines) == (False, "rate,per_hour,date,note", ("Maker,,2026-12-03,",))


def test_a_row_is_proposed_for_today_where_its_table_has_dates(tmp_path: Path) -> None:
    board = replace(row(tmp_path / "lumber.csv", species="larch"), proposed=(("per", "each"),))
    assert proposals(board, TODAY) == {"per": "each", "date": "2026-12-03"}
    spread = replace(row(tmp_path / "spread_rates.csv", product="Oil"), proposed=(("coat", "any"),))
    assert proposals(spread, TODAY) == {"coat": "any"}


def test_the_usual_supplier_is_the_one_named_most_often_and_the_first_of_equals(tmp_path: Path) -> None:
    table = tmp_path / "finishes.csv"
    assert usual_supplier(table) == ""
    head, can = "supplier,product,container,price,date\n", ",Oil,1 qt,9,2026-09-15\n"
    table.write_text(head, encoding="utf-8")
    assert usual_supplier(table) == ""
    table.write_text(f"{head}{can}Dale{can}Fernhill{can}Dale{can}", encoding="utf-8")
    assert usual_supplier(table) == "Dale"
    table.write_text(f"{head}Fernhill{can}Dale{can}", encoding="utf-8")
    assert usual_supplier(table) == "Fernhill"


@pytest.mark.parametrize(
    ("column", "text", "decimal_comma", "written"),
    [
        ("price", "12.50", True, "12,50"),
        ("price", "12,50", False, "12.50"),
        ("price", "12.50", False, "12.50"),
        ("rate", "200.5 - 300.5 ft2/gal", True, "200,5 - 300,5 ft2/gal"),
        ("price", "1.250.000", True, "1.250.000"),  # the points group thousands
        ("price", "1,250.50", False, "1,250.50"),
        ("container", "2.5 L", True, "2,5 L"),
        ("date", "2.10.2026", True, "2.10.2026"),
        ("note", "costs 12.50\nsince spring", True, "costs 12.50 since spring"),
    ],
)
def test_a_number_gets_the_decimal_mark_of_its_list(
    column: str, text: str, written: str, *, decimal_comma: bool
) -> None:
    assert written_as(column, text, decimal_comma=decimal_comma) == written
