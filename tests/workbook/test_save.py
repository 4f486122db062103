import errno
import hashlib
import os
import stat
import subprocess
import sys
import zipfile
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pandas as pd
import pytest
from openpyxl import load_workbook

from estimator.errors import EstimatorError
from estimator.workbook.cells import Book
from estimator.workbook.save import workbook_bytes, write_whole
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


def test_a_new_file_is_written_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    write_whole(tmp_path / "quote.xlsx", b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"new")]


def test_an_existing_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(b"old")
    with pytest.raises(EstimatorError, match="there already"):
        write_whole(path, b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"old")]


def test_a_file_that_appears_at_the_last_moment_is_refused_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "quote.xlsx"
    monkeypatch.setattr(os, "fsync", lambda _: path.write_bytes(b"another program's"))
    with pytest.raises(EstimatorError, match="there already"):
        write_whole(path, b"new", replace=False)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"another program's")]


def test_an_existing_file_is_replaced_when_asked_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new", replace=True)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("quote.xlsx", b"new")]
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_new_file_has_the_permissions_of_any_other_new_file(tmp_path: Path) -> None:
    write_whole(tmp_path / "quote.xlsx", b"new", replace=True)
    (tmp_path / "other").write_bytes(b"")
    assert (tmp_path / "quote.xlsx").stat().st_mode == (tmp_path / "other").stat().st_mode


def test_the_file_behind_a_link_is_replaced_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "14.xlsx").write_bytes(b"old")
    link = tmp_path / "latest.xlsx"
    link.symlink_to("jobs/14.xlsx")
    write_whole(link, b"new", replace=True)
    assert link.is_symlink()
    assert (tmp_path / "jobs" / "14.xlsx").read_bytes() == b"new"
    assert len(list((tmp_path / "jobs").iterdir())) == 1


@pytest.mark.parametrize("replace", [True, False])
def test_a_full_disk_leaves_the_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, replace: bool
) -> None:
    path = tmp_path / "quote.xlsx"
    if replace:
        path.write_bytes(b"old")
    before = [(path.name, path.read_bytes()) for path in tmp_path.iterdir()]

    def disk_is_full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", disk_is_full)
    with pytest.raises(EstimatorError, match="No space left on device"):
        write_whole(path, b"new", replace=replace)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == before


@pytest.mark.parametrize("replace", [True, False])
def test_a_workbook_open_elsewhere_is_left_alone_and_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, replace: bool
) -> None:
    path = tmp_path / "quote.xlsx"
    if replace:
        path.write_bytes(b"old")
    before = [(path.name, path.read_bytes()) for path in tmp_path.iterdir()]

    def is_open(_source: Path, _target: Path) -> Path:
        raise PermissionError(errno.EACCES, "Access is denied")

    monkeypatch.setattr(Path, "replace", is_open)
    with pytest.raises(EstimatorError, match=r"close quote\.xlsx in your spreadsheet program"):
        write_whole(path, b"new", replace=replace)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == before


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(EstimatorError, match=r"no folder .*jobs"):
        write_whole(tmp_path / "jobs" / "quote.xlsx", b"new", replace=False)


def test_a_folder_in_the_place_of_the_file_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "quote.xlsx").mkdir()
    with pytest.raises(EstimatorError, match=r"quote\.xlsx: writing failed"):
        write_whole(tmp_path / "quote.xlsx", b"new", replace=True)
    assert [path.name for path in tmp_path.iterdir()] == ["quote.xlsx"]


def test_a_file_in_the_place_of_the_folder_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "jobs").write_bytes(b"a list")
    with pytest.raises(EstimatorError, match="Not a directory"):
        write_whole(tmp_path / "jobs" / "quote.xlsx", b"new", replace=True)
    assert (tmp_path / "jobs").read_bytes() == b"a list"
