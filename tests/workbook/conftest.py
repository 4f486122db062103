"""Small orders written for a test, the workbooks made of them, and a way to find a value on a sheet by its label."""

import re
import shutil
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.estimate import Estimate, estimate
from estimator.reading.order import read_order

Sheets = dict[str, dict[str, object]]
PROJECT = Path(__file__).parents[2]

SHOP = """
name = "Quay Street Joinery"
currency = "USD"
unit = "in"

[cutting]
kerf = "1/8 in"
rip_kerf = "1/8 in"
end_trim = "1/2 in"
usable_offcut = "16 in"

[fasteners]
spare_percent = 5
spare_at_least = 2

[loss_percent]
brush = 10

[client_pays]
hardware = "used"

[overhead]
per_labour_hour = 14.50

[profit]
margin_percent = 22

[price]
round_up_to = 5
valid_days = 30
deposit_percent = 40

[tax]
name = "Sales tax"
percent = 6.25

[prices]
stale_after_days = 180

[compare]
quantities = [1, 3]
"""

SMALL_ORDER = {
    "shop.toml": SHOP,
    "order.toml": """
title = "Two stools"
client = "Ada Quill"
date = 2026-11-24
[[builds]]
folder = "stool"
quantity = 2
""",
    "stool/build.toml": 'name = "Stool"\nunit = "in"\n',
    "stool/parts.csv": (
        "part,quantity,species,section,length\nLeg,4,western larch,2x4,17 1/2\nSlat,3,western larch,2x4,14\n"
    ),
    "stool/hardware.csv": "kind,size,length,material,joint,joints,each\nscrew,#8,2,steel,slat to leg,6,2\n",
    "stool/finish.csv": "product,coats,method\nTeal oil,2,brush\n",
    "stool/labour.csv": (
        "operation,per,minutes,setup_minutes,rate,learning_percent\nCut,cut,0.7,10,Maker,\nJoin,joint,2.5,5,Maker,90\n"
    ),
    "stool/consumables.csv": "item,per,amount\nRag,ft2 coat,0.04\n",
    "price_tables/lumber.csv": (
        "supplier,species,grade,section,length,price,per,date\n"
        "Mill Yard,western larch,,2x4,8 ft,14.88,each,2026-10-02\n"
        "Mill Yard,western larch,,2x4,10 ft,1.87,ft,2026-10-02\n"
    ),
    "price_tables/hardware.csv": (
        "supplier,kind,size,length,material,pack,price,date\n"
        "Corner Shop,screw,#8,2,steel,50,7.90,2026-09-15\n"
        "Corner Shop,screw,#8,2,steel,1,0.185,2026-09-15\n"
    ),
    "price_tables/finishes.csv": "supplier,product,container,price,date\nCorner Shop,Teal oil,1 qt,24.90,2026-09-15\n",
    "price_tables/spread_rates.csv": "product,texture,coat,rate\nTeal oil,smooth,any,200 - 300 ft2/gal\n",
    "price_tables/consumables.csv": "supplier,item,pack,unit,price,date\nCorner Shop,Rag,25,rag,9.40,2026-09-15\n",
    "price_tables/labour_rates.csv": "rate,per_hour,date\nMaker,34.00,2026-07-01\n",
}

WriteOrder = Callable[[Mapping[str, str | None]], Path]


@pytest.fixture
def small_order(tmp_path: Path) -> WriteOrder:
    """Write the small order into a folder, with files of it changed, added or (None) left out."""

    def written(changed: Mapping[str, str | None]) -> Path:
        folder = tmp_path / "small_order"
        for name, content in {**SMALL_ORDER, **changed}.items():
            if content is not None:
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                (folder / name).write_text(content, encoding="utf-8")
        return folder

    return written


@pytest.fixture
def small_shop() -> Callable[..., str]:
    """Return the small order's settings with pieces of them replaced: each must be there."""

    def changed(*replacements: tuple[str, str]) -> str:
        return _replaced(SHOP, replacements)

    return changed


@pytest.fixture
def example_copy(tmp_path: Path) -> Callable[[str], Path]:
    """Copy an example with its price tables, for a test to change."""

    def copied(name: str) -> Path:
        shutil.copytree(PROJECT / "examples" / name, tmp_path / "examples" / name)
        shutil.copytree(PROJECT / "price_tables", tmp_path / "price_tables")
        return tmp_path / "examples" / name

    return copied


@pytest.fixture(scope="session")
def estimated() -> Callable[[Path], Estimate]:
    """Estimate the order in a folder, or the example of that name."""

    def run(folder: Path | str) -> Estimate:
        path = PROJECT / "examples" / folder if isinstance(folder, str) else folder
        return estimate(read_order(path, today=date(2026, 11, 24)))

    return run


@pytest.fixture(scope="session")
def change_file() -> Callable[..., None]:
    """Replace pieces of a text file: each must be there."""

    def change(path: Path, *replacements: tuple[str, str]) -> None:
        path.write_text(_replaced(path.read_text(encoding="utf-8"), replacements), encoding="utf-8")

    return change


@pytest.fixture(scope="session")
def stored() -> Callable[[Path], Sheets]:
    """Return the values a workbook holds, as a viewer that calculates nothing shows them."""

    def values(path: Path) -> Sheets:
        book = load_workbook(path, data_only=True, read_only=True)
        sheets: Sheets = {
            sheet.title: {
                cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None
            }
            for sheet in book.worksheets
        }
        book.close()
        return sheets

    return values


@pytest.fixture(scope="session")
def beside() -> Callable[[dict[str, object], str, str], object]:
    """Return the value in a column of the row that a label stands in: `beside(quote, "Total", "E")`."""

    def found(sheet: dict[str, object], label: str, column: str) -> object:
        rows = [re.sub("[A-Z]", "", cell) for cell, value in sheet.items() if value == label]
        assert rows, f"{label} is nowhere"
        return sheet[f"{column}{rows[0]}"]

    return found


def _replaced(text: str, replacements: tuple[tuple[str, str], ...]) -> str:
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new)
    return text
