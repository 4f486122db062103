"""One workbook, saved as CSV by LibreOffice under three countries' settings, becomes the same table."""

import os
import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.errors import Findings
from estimator.keeping.mapped import mapped_rows
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import read_supplier_map
from estimator.money import Currency

# Locale and the delimiter its spreadsheet users have (44 comma, 59 semicolon), and how it writes 1250.5 in a price.
COUNTRIES = {
    "en-US": (44, '"1,250.50"'),
    "de-DE": (59, "1.250,50"),
    "fr-FR": (59, "1\N{NARROW NO-BREAK SPACE}250,50"),
}
MAP = """
supplier = "Fernhill Sawmill Yard"
table = "lumber"
{decimal}
[columns]
species = "Timber"
section = "{{Thickness}} x {{Width}} mm"
length = "{{Length}} m"
price = "Price"
per = "Sold by"
date = "Valid from"
note = "Remark"
"""
ROWS = [
    ["oak", 27.5, 120, 2.4, 1250.5, "m3", "dry"],
    ["ash", 27, 145.5, 3, 12.345, "m", "3,5 % knots"],
    ["western larch", 52, 160, 3.125, 0.5, "each", "A; planed"],
    ["Lärche", 40, 90, 12, 99999.99, "m3", 'called "Alp"'],
]


@pytest.fixture(scope="module")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.append(["Fernhill Sawmill Yard, from November"])
    sheet.append(["Timber", "Thickness", "Width", "Length", "Price", "Sold by", "Remark", "Valid from"])
    for place, row in enumerate(ROWS, 3):
        sheet.append([*row, date(2026, 11, 1)])
        sheet.cell(place, 5).number_format = "#,##0.00" if place != 4 else "#,##0.000"
        sheet.cell(place, 8).number_format = "yyyy-mm-dd"
    path = tmp_path_factory.mktemp("workbook") / "yard.xlsx"
    book.save(path)
    return path


def read(content: bytes, folder: Path, decimal: str) -> list[tuple[str, ...]]:
    path = folder / "yard.map.toml"
    path.write_text(MAP.format(decimal=f'decimal = "{decimal}"' if decimal else ""), encoding="utf-8")
    findings = Findings()
    map_ = read_supplier_map(path, findings)
    sheet = open_sheet(content, "yard", findings, decimal=map_.decimal)
    assert sheet is not None
    currency, day = Currency(code="EUR"), date(2026, 11, 24)
    rows = list(mapped_rows(sheet, map_, findings, day=day, unit="mm", currency=currency))
    findings.raise_faults()
    return [row.cells for row in rows]


def saved_in(locale: str, workbook: Path, folder: Path) -> bytes:
    """Return the workbook as CSV, its cells as a LibreOffice of that country shows them."""
    program = shutil.which("soffice")
    if program is None:
        missing = "LibreOffice Calc (`soffice`) is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(missing)
        pytest.skip(missing)
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Setup/L10N">'
        f'<prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{locale}</value></prop></item></oor:items>'
    )
    delimiter, _ = COUNTRIES[locale]
    # 34 quotation mark, 76 UTF-8, from line 1, cells saved as shown.
    to = f"csv:Text - txt - csv (StarCalc):{delimiter},34,76,1,,0,false,true,true"
    command = [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", to]
    run = subprocess.run(
        [*command, "--outdir", folder, workbook], capture_output=True, text=True, timeout=120, check=False
    )
    saved = folder / "yard.csv"
    assert saved.exists(), run.stdout + run.stderr
    return saved.read_bytes()


def test_a_workbook_is_read_to_the_values_typed_into_it(workbook: Path, tmp_path: Path) -> None:
    rows = read(workbook.read_bytes(), tmp_path, "")
    assert [row[1:5] for row in rows] == [
        ("oak", "27.5 x 120 mm", "2.4 m", "1250.50"),
        ("ash", "27 x 145.5 mm", "3 m", "12.345"),
        ("western larch", "52 x 160 mm", "3.125 m", "0.50"),
        ("Lärche", "40 x 90 mm", "12 m", "99999.99"),
    ]
    assert {row[6] for row in rows} == {"2026-11-01"}


@pytest.mark.libreoffice
@pytest.mark.parametrize("locale", COUNTRIES)
def test_every_countrys_csv_of_it_is_read_to_the_same(locale: str, workbook: Path, tmp_path: Path) -> None:
    content = saved_in(locale, workbook, tmp_path)
    delimiter, price = COUNTRIES[locale]
    # It really is of that country; older versions write the French space a little wider.
    text = content.decode().replace("\N{NO-BREAK SPACE}", "\N{NARROW NO-BREAK SPACE}")
    assert f"{chr(delimiter)}{price}{chr(delimiter)}" in text
    expected = read(workbook.read_bytes(), tmp_path, "")
    for decimal in ("", "," if delimiter == 59 else "."):
        assert read(content, tmp_path, decimal) == expected
