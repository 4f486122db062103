import csv
import io
import re
import zipfile
from collections.abc import Callable, Sequence
from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.errors import Findings
from estimator.keeping import sheets, workbooks
from estimator.keeping.sheets import open_sheet
from estimator.keeping.workbooks import NOT_WORKED_OUT

Numbered = list[tuple[int, list[str]]]
LIST = [["Timber", "Size", "Price"], ["white oak", "5/4x6", "12.50"], ["western larch", "2x4", "3.20"]]


def read(content: bytes, name: str = "yard.csv", **options: str) -> tuple[Numbered, Findings]:
    findings = Findings()
    sheet = open_sheet(content, name, findings, **options)
    return (list(sheet.rows) if sheet else []), findings


def faults(content: bytes, **options: str) -> list[str]:
    return [str(fault) for fault in read(content, **options)[1].faults]


def workbook(rows: Sequence[Sequence[object]], formats: dict[str, str] | None = None) -> bytes:
    book, sheet = new_book()
    for row in rows:
        sheet.append(list(row))
    for cell, number_format in (formats or {}).items():
        sheet[cell].number_format = number_format
    return saved(book)


def new_book() -> tuple[Workbook, Worksheet]:
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    return book, sheet


def saved(book: Workbook) -> bytes:
    raw = io.BytesIO()
    book.save(raw)
    return raw.getvalue()


def repacked(content: bytes, change: Callable[[str, bytes], bytes], added: dict[str, bytes] | None = None) -> bytes:
    """Return a workbook with its parts changed and others added."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
        for name, part in (added or {}).items():
            new.writestr(name, part)
    return packed.getvalue()


def written(rows: Sequence[Sequence[str]], delimiter: str, end: str = "\r\n") -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter, lineterminator=end).writerows(rows)
    return text.getvalue()


TITLE = "Fernhill Sawmill Yard, prices from November\r\n\r\n"
FLAVOURS = {
    "commas": written(LIST, ",").encode(),
    "semicolons": written(LIST, ";").encode(),
    "tabs": written(LIST, "\t").encode(),
    "upright bars": written(LIST, "|").encode(),
    "carriage returns only": written(LIST, ";", "\r").encode(),
    "byte order mark": b"\xef\xbb\xbf" + written(LIST, ",").encode(),
    "UTF-16": written(LIST, "\t").encode("utf-16"),
    "a first line that names the delimiter": ("sep=;\r\n" + written(LIST, ";")).encode(),
    "the same after a byte order mark": b"\xef\xbb\xbfsep=|\n" + written(LIST, "|").encode(),
    "a title with a comma": (TITLE + written(LIST, ";")).encode(),
    "a title with semicolons": ("Oak; ash; larch; and more\n" + written(LIST, ",")).encode(),
    "an .xlsx under the name of a .csv": workbook(LIST),
}


@pytest.mark.parametrize("content", FLAVOURS.values(), ids=FLAVOURS)
def test_a_list_reads_the_same_however_it_was_saved(content: bytes) -> None:
    rows, findings = read(content)
    assert [cells for _, cells in rows][-3:] == LIST
    assert findings == Findings()


def test_every_row_keeps_its_physical_line() -> None:
    text = 'sep=,\n\nTimber,Note\n"white\noak","two\nlines"\n,,\nash,x\n'
    rows, _ = read(text.encode())
    assert rows == [(3, ["Timber", "Note"]), (4, ["white\noak", "two\nlines"]), (8, ["ash", "x"])]
    book = workbook([["Timber", "Note"], [], ["ash", "x"], ["", ""], ["oak"]])
    assert [line for line, _ in read(book)[0]] == [1, 3, 5]


def test_decimal_commas_do_not_make_the_comma_a_delimiter() -> None:
    text = "Timber;Thickness;Price\noak;12,5;3,20\nash;27,5;4,10\n"
    rows, _ = read(text.encode())
    assert rows[1] == (2, ["oak", "12,5", "3,20"])


@pytest.mark.parametrize(
    ("value", "number_format", "shown"),
    [
        (12.5, "General", "12.5"),
        (12.500000000000002, "General", "12.5"),
        (0.1 + 0.2, "General", "0.3"),
        (30.01 * 3, "General", "90.03"),
        (1e-05, "General", "0.00001"),
        (123456789012, "General", "123456789012"),
        (7, "General", "7"),
        (12.5, "0.00", "12.50"),
        (11.235, "0.00", "11.24"),  # a spreadsheet program rounds the half of a shown decimal up
        (1234.5, "#,##0.00", "1234.50"),
        (1234.5, '#,##0.00 "€"', "1234.50"),
        (1234.5, "[$€-407] #,##0.00", "1234.50"),
        (1234.5, '_-* #,##0.00\\ _€_-;-* #,##0.00\\ _€_-;_-* "-"??\\ _€_-', "1234.50"),
        (12.345, "$#,##0.000;[Red]-$#,##0.000", "12.345"),
        (0.19, "0%", "19%"),
        (0.195, "0.0%", "19.5%"),
        (12.5, "# ?/?", "12.5"),
        (12.5, "0.00E+00", "12.5"),
        (True, "General", "TRUE"),
        (datetime(2026, 11, 1, 13, 30), "yyyy-mm-dd hh:mm", "2026-11-01"),  # noqa: DTZ001 - workbooks know no zones
        (date(2026, 11, 1), "dd.mm.yyyy", "2026-11-01"),
        ("  007 ", "General", "007"),
        ("#N/A", "General", "#N/A"),
    ],
)
def test_a_cell_becomes_the_text_that_the_sheet_shows(value: object, number_format: str, shown: str) -> None:
    content = workbook([["Price"], [value]], {"A2": number_format})
    assert read(content)[0][1:] == [(2, [shown])]


def test_a_workbooks_numbers_take_the_decimals_that_the_map_declares() -> None:
    content = workbook([["Price"], [1.234], ["1,5"]], {})
    findings = Findings()
    sheet = open_sheet(content, "yard.xlsx", findings, decimal=",")
    assert sheet is not None
    assert sheet.decimal_comma
    assert [cells for _, cells in sheet.rows] == [["Price"], ["1,234"], ["1,5"]]


@given(st.decimals(min_value=0, max_value=1_000_000, places=6))
def test_a_decimal_of_a_price_comes_back_from_a_workbook_as_it_was(price: object) -> None:
    rows, _ = read(workbook([[float(str(price))]]))
    shown = f"{price:f}".rstrip("0").rstrip(".")
    assert rows == [(1, [shown or "0"])]


def test_the_first_sheet_is_read_and_others_by_name() -> None:
    book, cover = new_book()
    cover.append(["cover"])
    book.create_sheet("Prices").append(["Timber"])
    rows, findings = read(saved(book))
    assert rows == [(1, ["cover"])]
    (notice,) = findings.notices
    assert str(notice) == 'yard.csv: has 2 sheets; "Sheet" is read, for the map names none'
    assert read(saved(book), sheet="Prices") == ([(1, ["Timber"])], Findings())
    (fault,) = faults(saved(book), sheet="Price")
    assert fault == 'yard.csv: has no sheet "Price"; write one of these into the map: Sheet, Prices'


def test_hidden_rows_are_read_and_told_of() -> None:
    book, sheet = new_book()
    for place in range(4):
        sheet.append([f"row {place}"])
    sheet.row_dimensions[2].hidden = True
    rows, findings = read(saved(book))
    assert len(rows) == 4
    assert [str(notice) for notice in findings.notices] == [
        "yard.csv: hides 1 of its rows; they are read like the rest"
    ]


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (b"\n <!DOCTYPE html><title>Sign in</title>", "is a web page"),
        (b"\xef\xbb\xbf<html>", "is a web page"),
        (b"%PDF-1.7\x00\xff", "is a PDF; ask for it as .csv or .xlsx"),
        (b"\xd0\xcf\x11\xe0\x00", "is an old or a locked workbook; ask for it as .csv or .xlsx"),
        (b"\x1f\x8b\x00", "is packed; ask for it as .csv or .xlsx"),
        (b"\x00\x01\x02", "is no plain text; ask for it as .csv or .xlsx"),
        (b"PK\x03\x04 and no more", "is a damaged workbook"),
        (b'a,b\n"1,2\n', "a quotation mark in the row that begins here is out of place or never closed"),
    ],
)
def test_what_is_no_list_is_refused_with_a_remedy(content: bytes, complaint: str) -> None:
    (fault,) = faults(content)
    assert complaint in fault
    assert "; " in fault


def test_another_package_is_no_workbook() -> None:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", "<office/>")
    (fault,) = faults(raw.getvalue())
    assert fault == "yard.csv: is no .xlsx workbook; open it in your spreadsheet program and save it as .xlsx"


def unchanged(_: str, part: bytes) -> bytes:
    return part


def test_a_workbook_that_unpacks_to_more_than_a_list_needs_is_not_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("openpyxl.load_workbook", pytest.fail)
    blanks = repacked(workbook(LIST), unchanged, {"xl/media/blank.bin": b" " * 3_000_000})
    (fault,) = faults(blanks)
    assert 'unpacks to 3,000,000 bytes in "xl/media/blank.bin"' in fault
    for name, limit in (("LARGEST_ENTRY", 100), ("LARGEST_UNPACKED", 1000), ("MOST_ENTRIES", 3)):
        with monkeypatch.context() as limits:
            limits.setattr(workbooks, name, limit)
            (fault,) = faults(workbook(LIST))
            assert "too many for a price list; ask for a shorter one" in fault
    monkeypatch.setattr(sheets, "LARGEST_LIST", 10)
    assert faults(b"a,b\n" * 10) == ["yard.csv: has more than 10 bytes; ask for a shorter list"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_declared_entities_are_refused_before_anything_is_read(encoding: str) -> None:
    bomb = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE x [<!ENTITY a "lol"><!ENTITY b "&a;&a;">]><x>&b;</x>'

    def planted(name: str, part: bytes) -> bytes:
        return bomb.encode(encoding) if name == "xl/worksheets/sheet1.xml" else part

    (fault,) = faults(repacked(workbook(LIST), planted))
    assert "holds declarations that no workbook needs" in fault


@pytest.mark.parametrize(
    ("cell", "complaint"),
    [("A1048577", "a row beyond the last"), ("XFD4", "more than 1,000 columns"), ("A9999999", "a row beyond the last")],
)
def test_a_cell_far_from_the_list_ends_the_reading(cell: str, complaint: str) -> None:
    row = cell.lstrip("AXFD")
    far = f'<row r="{row}"><c r="{cell}"><v>1</v></c></row></sheetData>'.encode()

    def planted(name: str, part: bytes) -> bytes:
        return part.replace(b"</sheetData>", far) if name == "xl/worksheets/sheet1.xml" else part

    (fault,) = faults(repacked(workbook(LIST), planted))
    assert complaint in fault


SOUND = workbook([*LIST, ["ash", "2x4", "=C2-1"]])


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_workbook_is_a_fault_and_never_a_crash(data: st.DataObject) -> None:
    def spoilt(name: str, part: bytes) -> bytes:
        if name != part_name:
            return part
        place = data.draw(st.integers(0, len(part) - 1))
        return part[:place] + data.draw(st.binary(max_size=4)) + part[place + data.draw(st.integers(0, 40)) :]

    with zipfile.ZipFile(io.BytesIO(SOUND)) as package:
        part_name = data.draw(st.sampled_from(package.namelist()))
    content = repacked(SOUND, spoilt)
    if data.draw(st.booleans()):
        place = data.draw(st.integers(4, len(content) - 1))
        content = content[:place] + data.draw(st.binary(min_size=1, max_size=8)) + content[place + 1 :]
    rows, findings = read(content)
    assert all("; " in str(fault) for fault in findings.faults)
    assert rows is not None


@settings(max_examples=200)
@given(st.binary(max_size=200))
def test_any_bytes_are_rows_or_a_fault(content: bytes) -> None:
    rows, findings = read(content)
    assert all(any(cells) for _, cells in rows)
    assert all("; " in str(fault) for fault in findings.faults)


def with_formulas() -> bytes:
    """Return a workbook as this library writes it: formulas without what they come to."""
    book, sheet = new_book()
    for row in (["Timber", "Price", "With tax"], ["oak", 12.5, "=B2*1.19"], ["ash", "=B2-1", None]):
        sheet.append(row)
    return saved(book)


def test_a_formula_that_was_saved_without_its_value_is_no_blank() -> None:
    assert read(with_formulas())[0] == [
        (1, ["Timber", "Price", "With tax"]),
        (2, ["oak", "12.5", NOT_WORKED_OUT]),
        (3, ["ash", NOT_WORKED_OUT]),
    ]


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ('<c r="B3"><f>B2-1</f><v>11.5</v></c>', "11.5"),
        ('<c r="B3" t="str"><f>IF(1,"","x")</f><v></v></c>', ""),  # it came to no text
        ('<c r="B3" t="str"><f>"a"</f><v>a</v></c>', "a"),
        ('<c r="B3" t="e"><f>1/0</f><v>#DIV/0!</v></c>', "#DIV/0!"),
        ('<c r="B3" t="n"><f>B2-1</f><v /></c>', NOT_WORKED_OUT),
        ('<c r="B3"><f t="shared" ref="B3:B9" si="0">B2-1</f></c>', NOT_WORKED_OUT),
        ('<c r="B3"><f t="array" ref="B3">B2-1</f><v/></c>', NOT_WORKED_OUT),
        ('<c r="B3"/>', ""),
    ],
)
def test_a_formula_gives_what_was_saved_with_it(cell: str, text: str) -> None:
    def planted(name: str, part: bytes) -> bytes:
        return re.sub(rb'<c r="B3".*?</c>', cell.encode(), part) if name == "xl/worksheets/sheet1.xml" else part

    rows, findings = read(repacked(with_formulas(), planted))
    assert findings == Findings()
    assert rows[2] == (3, ["ash", text] if text else ["ash"])


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xef\xbb\xbf", b" \r\n"])
def test_a_file_without_anything_in_it_is_said_to_be_empty(content: bytes) -> None:
    assert faults(content) == ["yard.csv: is empty; save the list again, or ask for it again"]


def test_a_file_that_is_only_named_as_a_workbook_is_said_to_be_none() -> None:
    noise = bytes(number * number * 7 % 251 + 1 for number in range(400))  # no byte of 0, so it decodes as some text
    assert b"\0" not in noise
    found = read(noise, "fake.xlsx")[1]
    (fault,) = map(str, found.faults)
    assert fault == "fake.xlsx: is no workbook, though named so, and no plain text; ask for it again as .xlsx or .csv"
    assert faults(noise) == ["yard.csv: is no plain text; ask for it as .csv or .xlsx"]


def test_one_sign_that_cannot_be_printed_makes_no_list_garbled() -> None:
    lines = "Timber,Size,Price\n" + "white oak,5/4x6,12.50\n" * 9
    assert faults(lines.replace("oak", "\x07oak", 1).encode()) == []
