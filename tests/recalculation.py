"""Lets real spreadsheet programs recalculate a workbook, to show that the values we store are the formulas' results.

LibreOffice believes a stored value, even a wrong one. So every stored value is first replaced by a wrong one: what
then comes back right has been computed. Fixtures: `formula_cells`, `recalculate` and `assert_recalculates`.
"""

import os
import shutil
import subprocess
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree as ET

import pytest
from openpyxl import load_workbook

Sheets = dict[str, dict[str, object]]
"""Values by sheet title and cell, empty cells left out."""

WRONG_VALUE = "-98765.4321"
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
# Recalculate on load: 0 is always, and the setting has no command line option.
_ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop>
</item>
</oor:items>
"""


class FormulaCell(NamedTuple):
    """A live cell as it stands in the file."""

    sheet: str
    cell: str
    formula: str
    stored: object


Engine = Callable[[Path], Sheets]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test that needs LibreOffice, so that nobody has to remember to."""
    for item in items:
        if "libreoffice" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.libreoffice)


@pytest.fixture(scope="session")
def libreoffice(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """Recalculates with LibreOffice. Skips where it is missing, and fails in CI, where it must not be missing."""
    program = shutil.which("soffice")
    if program is None:
        missing = "LibreOffice Calc (`soffice`) is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(missing)
        pytest.skip(missing)
    profile = tmp_path_factory.mktemp("profile")  # of its own: a running LibreOffice would take the job and do nothing
    (profile / "user").mkdir()
    (profile / "user" / "registrymodifications.xcu").write_text(_ALWAYS_RECALCULATE)

    def recalculated(path: Path) -> Sheets:
        folder = tmp_path_factory.mktemp("libreoffice")
        poisoned, result = folder / "poisoned.xlsx", folder / "out" / "poisoned.xlsx"
        _poison(path, poisoned)
        options = [f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "xlsx"]
        _run([program, *options, "--outdir", str(result.parent), str(poisoned)], result)
        return _values(result)

    return recalculated


@pytest.fixture(scope="session")
def gnumeric(tmp_path_factory: pytest.TempPathFactory) -> Engine | None:
    """Recalculates with Gnumeric, a second opinion where it is installed."""
    program = shutil.which("ssconvert")
    if program is None:
        return None

    def recalculated(path: Path) -> Sheets:
        folder = tmp_path_factory.mktemp("gnumeric")
        poisoned, result = folder / "poisoned.xlsx", folder / "result.xlsx"
        _poison(path, poisoned)
        _run([program, "--recalc", "--export-type=Gnumeric_Excel:xlsx2", str(poisoned), str(result)], result)
        return _values(result)

    return recalculated


@pytest.fixture
def recalculate(libreoffice: Engine) -> Engine:
    """Return the values LibreOffice computes: `recalculate(path)["Quote"]["C7"]`."""
    return libreoffice


@pytest.fixture(name="formula_cells")
def formula_cells_fixture() -> Callable[[Path], list[FormulaCell]]:
    """List the live cells of a file: `for sheet, cell, formula, stored in formula_cells(path)`."""
    return formula_cells


@pytest.fixture
def assert_recalculates(libreoffice: Engine, gnumeric: Engine | None) -> Callable[[Path], None]:
    """Fail unless every program finds the stored value of every formula."""
    engines = {"LibreOffice": libreoffice} | ({"Gnumeric": gnumeric} if gnumeric else {})

    def check(path: Path) -> None:
        cells = formula_cells(path)
        assert cells, f"{path.name} has no formulas"
        differences = []
        for name, engine in engines.items():
            found = engine(path)
            differences += [
                f"{cell.sheet}!{cell.cell} {cell.formula}: stored {cell.stored!r}, {name} finds {value!r}"
                for cell in cells
                if not agree(cell.stored, value := found[cell.sheet].get(cell.cell))
            ]
        assert not differences, "\n".join(differences)

    return check


def formula_cells(path: Path) -> list[FormulaCell]:
    """List the live cells of a file in the order of its sheets and rows."""
    stored = _values(path)
    book = load_workbook(path, read_only=True)
    cells = [
        FormulaCell(sheet.title, cell.coordinate, str(cell.value), stored[sheet.title].get(cell.coordinate))
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    book.close()
    return cells


def agree(stored: object, found: object) -> bool:
    """Tell whether two values are the same: money to the cent, small numbers such as shares to a two-thousandth."""
    numbers = (int, float)
    if isinstance(stored, bool) or isinstance(found, bool):
        return stored is found
    if isinstance(stored, numbers) and isinstance(found, numbers):
        return abs(stored - found) <= max(1e-9, min(0.005, abs(stored) / 2000))
    is_error = isinstance(found, str) and found.startswith(("#", "Err:"))
    return stored == found and not is_error and stored is not None


def _values(path: Path) -> Sheets:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what other programs leave out of a file they wrote is not our concern
        book = load_workbook(path, read_only=True, data_only=True)
    values: Sheets = {
        sheet.title: {
            cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None
        }
        for sheet in book.worksheets
    }
    book.close()
    return values


def _poison(path: Path, poisoned: Path) -> None:
    """Copy a workbook with every formula's stored value replaced by a wrong one."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(poisoned, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = old.read(name)
            new.writestr(name, _poisoned_sheet(part) if name.startswith("xl/worksheets/sheet") else part)


def _poisoned_sheet(part: bytes) -> bytes:
    sheet = ET.fromstring(part)  # noqa: S314  # the file is one the test has just written
    for cell in sheet.iter(f"{_MAIN}c"):
        if cell.find(f"{_MAIN}f") is not None:
            value = cell.find(f"{_MAIN}v")
            if value is None:
                value = ET.SubElement(cell, f"{_MAIN}v")
            value.text = WRONG_VALUE
            cell.attrib.pop("t", None)
    return bytes(ET.tostring(sheet, encoding="utf-8", xml_declaration=True))


def _run(command: list[str], result: Path) -> None:
    """Run a program and see for ourselves whether it wrote the file: LibreOffice returns 0 when it failed."""
    run = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert result.exists(), f"{command[0]} wrote no file\n{run.stdout}\n{run.stderr}"
