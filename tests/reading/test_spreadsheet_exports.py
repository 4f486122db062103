"""Lists as spreadsheet programs save them give the same order as the plain files."""

import csv
import dataclasses
import io
import os
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from estimator.errors import EstimatorError
from estimator.reading.order import Order, read_order

GOOD = Path(__file__).parents[1] / "broken" / "_good"
Rows = list[list[str]]


def facts(value: object) -> object:
    """Return a record as plain values, without the lines and folders it was read from."""
    if dataclasses.is_dataclass(value):
        names = [field.name for field in dataclasses.fields(value) if field.name not in ("origin", "folder")]
        return {name: facts(getattr(value, name)) for name in names if name != "price_tables"}
    return [facts(one) for one in value] if isinstance(value, tuple) else value


def read(folder: Path) -> Order:
    return read_order(folder, today=date(2026, 11, 24))


@pytest.fixture
def order(tmp_path: Path) -> Path:
    folder = tmp_path / "order"
    shutil.copytree(GOOD, folder)
    return folder


def rows_of(path: Path) -> Rows:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def written(rows: Rows, delimiter: str = ",", line_end: str = "\r\n", *, quote_all: bool = False) -> bytes:
    text = io.StringIO(newline="")
    if quote_all:
        csv.writer(text, delimiter=delimiter, lineterminator=line_end, quoting=csv.QUOTE_ALL).writerows(rows)
    else:
        csv.writer(text, delimiter=delimiter, lineterminator=line_end).writerows(rows)
    return text.getvalue().encode()


def decimal_commas(rows: Rows) -> Rows:
    return [[re.sub(r"^(\d+)\.(\d+)$", r"\1,\2", cell) for cell in row] for row in rows]


def each_cell(rows: Rows, change: Callable[[str], str]) -> Rows:
    return [rows[0], *([change(cell) for cell in row] for row in rows[1:])]


def typographic(cell: str) -> str:
    """Return a cell as a word processor writes it: fractions of one sign, double primes, crosses, odd spaces."""
    cell = re.sub(r"^(\d+) 1/2$", "\\1½″", cell)
    cell = re.sub(r"^(\d+) 1/4$", "\\1\u00a0¼”", cell)
    return cell.replace(" x ", " × ").replace(" - ", " – ") if cell[:1].isdigit() else cell


def with_blank_rows(rows: Rows) -> Rows:
    blank = [""] * len(rows[0])
    return [blank, rows[0], blank, *rows[1:], blank, [], ["", ""]]


STYLES: dict[str, Callable[[Rows], bytes]] = {
    "line feeds": lambda rows: written(rows, line_end="\n"),
    "carriage returns only": lambda rows: written(rows, line_end="\r"),
    "byte order mark": lambda rows: b"\xef\xbb\xbf" + written(rows),
    "UTF-16": lambda rows: written(rows).decode().encode("utf-16"),
    "UTF-16 big-endian": lambda rows: b"\xfe\xff" + written(rows).decode().encode("utf-16-be"),
    "every cell quoted": lambda rows: written(rows, quote_all=True),
    "semicolons": lambda rows: written(rows, ";"),
    "semicolons and decimal commas": lambda rows: written(decimal_commas(rows), ";"),
    "tabs": lambda rows: written(rows, "\t"),
    "tabs and decimal commas": lambda rows: written(decimal_commas(rows), "\t"),
    "upright bars": lambda rows: written(rows, "|"),
    "decimal commas in quotation marks": lambda rows: written(decimal_commas(rows)),
    "a first line that names the delimiter": lambda rows: b"\xef\xbb\xbfsep=;\r\n" + written(rows, ";"),
    "blank rows": lambda rows: written(with_blank_rows(rows)),
    "blank columns": lambda rows: written([[*row, "", "", ""] for row in rows]),
    "short rows": lambda rows: re.sub(rb",+\r\n", b"\r\n", written(rows)),
    "spaces around cells": lambda rows: written([[f"  {cell} " for cell in row] for row in rows]),
    "headings the other way round": lambda rows: written([row[::-1] for row in rows]),
    "headings in capitals": lambda rows: written([[name.upper() for name in rows[0]], *rows[1:]]),
    "headings in words": lambda rows: written([[name.replace("_", " ").title() for name in rows[0]], *rows[1:]]),
    "typographic signs": lambda rows: written(each_cell(rows, typographic)),
    "typographic signs in Windows-1252": lambda rows: written(each_cell(rows, lambda cell: cell.replace(" 1/4", "¼")))
    .decode()
    .encode("cp1252"),
    "a column of one's own": lambda rows: written([[*rows[0], "Checked"], *([*row, "seen"] for row in rows[1:])]),
}  # fmt: skip


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
def test_lists_read_the_same_however_they_were_saved(style: Callable[[Rows], bytes], order: Path) -> None:
    plain = facts(dataclasses.replace(read(order), notices=()))
    for path in order.rglob("*.csv"):
        path.write_bytes(style(rows_of(path)))
    assert facts(dataclasses.replace(read(order), notices=())) == plain


def test_an_unknown_column_is_passed_over_with_a_notice_that_names_the_nearest_heading(order: Path) -> None:
    parts = order / "stool" / "parts.csv"
    parts.write_text(parts.read_text().replace(",hidden_area,", ",hiden area,"))
    (notice,) = read(order).notices
    assert (
        str(notice)
        == f'{parts}:1: the column "hiden area" is not known and is passed over (did you mean "hidden_area"?)'
    )


def test_line_breaks_in_a_note_do_not_shift_the_lines_that_messages_name(order: Path) -> None:
    parts = order / "stool" / "parts.csv"
    rows = rows_of(parts)
    rows[1][-1] = "splayed\r\nboth ways\r\n\r\nsee the sketch"
    parts.write_bytes(written(rows))
    first, second, *_ = read(order).items[0].build.parts
    assert first.note == "splayed\r\nboth ways\r\n\r\nsee the sketch"
    assert first.origin.line == 2
    assert second.origin.line == 6


def test_carriage_returns_alone_are_counted_as_lines(order: Path) -> None:
    parts = order / "stool" / "parts.csv"
    parts.write_bytes(written(rows_of(parts), line_end="\r"))
    assert [part.origin.line for part in read(order).items[0].build.parts] == [2, 3, 4, 5]


def test_what_a_spreadsheet_would_turn_into_numbers_or_formulas_stays_text(order: Path) -> None:
    parts = order / "stool" / "parts.csv"
    rows = rows_of(parts)
    texts = ["00123", "=1+1", "NA", "1-2"]
    for row, text in zip(rows[1:], texts, strict=True):
        row[0] = row[-1] = text
    parts.write_bytes(written(rows))
    found = read(order).items[0].build.parts
    assert [part.name for part in found] == texts
    assert [part.note for part in found] == texts


def test_settings_from_a_text_editor_of_another_system_read_the_same(order: Path) -> None:
    plain = facts(read(order))
    for path in order.rglob("*.toml"):
        text = path.read_text(encoding="utf-8")
        path.write_bytes(text.replace("\n", "\r\n").encode("utf-16"))
    assert facts(read(order)) == plain
    for path in order.rglob("*.toml"):
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().decode("utf-16").replace("\r\n", "\r").encode())
    assert facts(read(order)) == plain


@pytest.fixture(scope="session")
def german_calc(tmp_path_factory: pytest.TempPathFactory) -> Callable[[list[Path], str, Path], None]:
    """Convert files with a LibreOffice set to German, which writes decimal commas."""
    program = shutil.which("soffice")
    if program is None:
        missing = "LibreOffice Calc (`soffice`) is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(missing)
        pytest.skip(missing)
    profile = tmp_path_factory.mktemp("profile")
    (profile / "user").mkdir()
    (profile / "user" / "registrymodifications.xcu").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Setup/L10N">'
        '<prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>de-DE</value></prop></item></oor:items>'
    )

    def convert(paths: list[Path], to: str, folder: Path) -> None:
        command = [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", to]
        # 44 comma, 34 quotation mark, 76 UTF-8, from line 1, 1033 US English: the numbers have decimal points.
        command += ["--infilter=CSV:44,34,76,1,,1033"] if paths[0].suffix == ".csv" else []
        run = subprocess.run(
            [*command, "--outdir", folder, *paths], capture_output=True, text=True, timeout=120, check=False
        )
        assert len(list(folder.iterdir())) == len(paths), run.stdout + run.stderr

    return convert


@pytest.mark.libreoffice
@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_lists_kept_in_a_german_libreoffice_and_saved_from_it_read_the_same(
    kind: str, order: Path, tmp_path: Path, german_calc: Callable[[list[Path], str, Path], None]
) -> None:
    bench = order / "bench" / "parts.csv"
    lumber = order / "price_tables" / "lumber.csv"
    lumber.write_text(lumber.read_text().replace(",8/4,", ",52 mm,"))
    plain = facts(read(order))
    lists = sorted(order.rglob("*.csv"))
    plainly, kept, saved = tmp_path / "plainly", tmp_path / "kept", tmp_path / "saved"
    for folder in (plainly, kept, saved):
        folder.mkdir()
    for place, path in enumerate(lists):
        shutil.copy(path, plainly / f"{place}.csv")
    german_calc(sorted(plainly.iterdir()), kind, kept)
    # 59 semicolon, 34 quotation mark, 76 UTF-8, cells saved as shown.
    german_calc(sorted(kept.iterdir()), "csv:Text - txt - csv (StarCalc):59,34,76,1,,0,false,true,false", saved)
    for place, path in enumerate(lists):
        shutil.copy(saved / f"{place}.csv", path)
    assert ";10,56;" in lumber.read_text(encoding="utf-8")  # it really has gone through another country's program
    with pytest.raises(EstimatorError) as caught:
        read(order)
    (fault,) = caught.value.faults  # 8/4 has become a day in August, which must not pass for anything else
    assert (Path(fault.origin.file), fault.origin.line, fault.column) == (bench, 2, "section")
    bench.write_text(re.sub(r"\d\d\.\d\d\.\d{4}", "8/4", bench.read_text(encoding="utf-8")), encoding="utf-8")
    assert facts(read(order)) == plain
