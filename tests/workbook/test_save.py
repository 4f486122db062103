import hashlib
import os
import subprocess
import sys
import zipfile
from datetime import date
from decimal import Decimal
from io import BytesIO

import pandas as pd
from openpyxl import load_workbook

from estimator.workbook.cells import Book
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import DATE, NUMBER, TEXT, as_total

BUILD = """
import hashlib
from datetime import date
from estimator.workbook.cells import Book
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import NUMBER, TEXT, as_input, as_total

book = Book()
for title in ("Quote", "Lumber"):
    sheet = book.add_sheet(title)
    for row, style in enumerate((NUMBER, as_input(NUMBER), as_total(NUMBER)), start=1):
        sheet.put_text(row, 1, "leg", TEXT)
        sheet.put_formula(row, 2, "=2*3", 6, style)
print(hashlib.sha256(workbook_bytes(book, on=date(2026, 3, 4), title="Quote")).hexdigest())
"""


def example() -> Book:
    book = Book()
    sheet = book.add_sheet("Quote")
    sheet.put_text(1, 1, "item", TEXT)
    sheet.put_text(1, 2, "amount", TEXT)
    sheet.put_text(2, 1, "leg", TEXT)
    sheet.put_formula(2, 2, "=ROUND(2*10.055,2)", Decimal("20.11"), NUMBER)
    sheet.put_text(3, 1, "verdict", TEXT)
    sheet.put_formula(3, 2, '=IF(B2>1,"a < b & c","")', "a < b & c", TEXT)
    sheet.put_text(4, 1, "until", TEXT)
    sheet.put_formula(4, 2, "=46085+30", date(2026, 4, 3), DATE)
    return book


def saved(book: Book) -> bytes:
    return workbook_bytes(book, on=date(2026, 3, 4), title="Quote 14")


def test_viewers_that_calculate_nothing_find_the_value_of_every_formula() -> None:
    sheet = load_workbook(BytesIO(saved(example())), data_only=True).worksheets[0]
    assert sheet["B2"].value == 20.11
    assert sheet["B3"].value == "a < b & c"
    assert sheet["B4"].value.date() == date(2026, 4, 3)


def test_pandas_reads_the_value_of_every_formula() -> None:
    frame = pd.read_excel(BytesIO(saved(example())), engine="openpyxl")
    assert frame["item"].tolist() == ["leg", "verdict", "until"]
    assert frame["amount"].tolist()[:2] == [20.11, "a < b & c"]


def test_formulas_stay_live_beside_their_values() -> None:
    book = load_workbook(BytesIO(saved(example())))
    assert book.worksheets[0]["B2"].value == "=ROUND(2*10.055,2)"
    assert book.calculation.fullCalcOnLoad


def test_an_empty_text_is_a_value_too() -> None:
    book = Book()
    book.add_sheet("Quote").put_formula(1, 1, '=IF(1>2,"late","")', "", TEXT)
    with zipfile.ZipFile(BytesIO(saved(book))) as parts:
        assert b"</f><v></v></c>" in parts.read("xl/worksheets/sheet1.xml")


def test_the_file_names_its_day_and_no_other() -> None:
    properties = load_workbook(BytesIO(saved(example()))).properties
    assert str(properties.created) == str(properties.modified) == "2026-03-04 00:00:00"
    assert properties.title == "Quote 14"


def test_a_title_with_odd_characters_does_not_spoil_the_file() -> None:
    content = workbook_bytes(example(), on=date(2026, 3, 4), title="Oak & Ash \x00\ud800<job>")
    assert load_workbook(BytesIO(content)).properties.title == "Oak & Ash <job>"


def test_the_same_workbook_gives_the_same_bytes() -> None:
    assert saved(example()) == saved(example())


def test_the_same_workbook_gives_the_same_bytes_in_every_run_and_time_zone() -> None:
    digests = set()
    for seed, zone in (("0", "UTC"), ("1", "Pacific/Auckland"), ("4242", "America/Los_Angeles")):
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone}
        run = subprocess.run([sys.executable, "-c", BUILD], env=environment, capture_output=True, text=True, check=True)
        digests.add(run.stdout)
    assert len(digests) == 1


def test_two_books_with_one_difference_give_different_bytes() -> None:
    # Guards the test above against a digest of nothing.
    other = example()
    other.sheets[0].put_number(9, 9, 1, as_total(NUMBER))
    assert hashlib.sha256(saved(other)).digest() != hashlib.sha256(saved(example())).digest()
