import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.workbook.cells import Book, FormulaValue
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import DATE, NUMBER, TEXT

Recalculate = Callable[[Path], dict[str, dict[str, object]]]
Check = Callable[[Path], None]


def write(path: Path, formula: str, value: FormulaValue) -> Path:
    book = Book()
    sheet = book.add_sheet("Rates & more, 100%")
    rate = sheet.put_number(2, 2, Decimal("18.25"), NUMBER)
    sheet.put_date(3, 2, date(2026, 3, 4), DATE)
    quote = book.add_sheet("Sam's quote")
    quote.put_formula(3, 3, f"=4*{rate.full_ref}", Decimal("73.00"), NUMBER)
    quote.put_formula(4, 3, formula, value, DATE if isinstance(value, date) else NUMBER)
    path.write_bytes(workbook_bytes(book, on=date(2026, 3, 4), title="Quote"))
    return path


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("=ROUND(C3*1.0825,2)", Decimal("79.02")),  # 73 x 1.0825 = 79.0225
        ("=ROUND(231.495,2)", Decimal("231.50")),  # half up in decimal, though the nearest float is below the half
        ("=C3/3", Decimal(73) / 3),
        ("=0.145+0.003", Decimal("0.148")),
        ('=IF(C3>50,"over, far","under")', "over, far"),
        ("='Rates & more, 100%'!B3+30", date(2026, 4, 3)),
    ],
)
def test_right_values_are_confirmed(
    tmp_path: Path, assert_recalculates: Check, formula: str, value: FormulaValue
) -> None:
    assert_recalculates(write(tmp_path / "quote.xlsx", formula, value))


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("=ROUND(C3*1.0825,2)", Decimal("79.03")),
        ("=0.145+0.003", Decimal("0.149")),
        ('=IF(C3>50,"over","under")', "under"),
        ("=C3*0", ""),
        ("='Rates & more, 100%'!B3+30", date(2026, 4, 4)),
        ("=1/0", "#DIV/0!"),
        ("=SUM(no_such_name)", 0),
    ],
)
def test_a_wrong_stored_value_or_an_error_is_caught(
    tmp_path: Path, assert_recalculates: Check, formula: str, value: FormulaValue
) -> None:
    path = write(tmp_path / "quote.xlsx", formula, value)
    with pytest.raises(AssertionError, match="C4"):
        assert_recalculates(path)


def test_a_changed_input_changes_what_follows_from_it(tmp_path: Path, recalculate: Recalculate) -> None:
    path = write(tmp_path / "quote.xlsx", "=2*C3", 146)
    assert recalculate(path)["Sam\u2019s quote"]["C4"] == 146
    book = load_workbook(path)
    book.worksheets[0]["B2"] = 20
    book.save(path)
    assert recalculate(path)["Sam\u2019s quote"]["C4"] == 160


def test_formula_cells_are_listed_with_their_stored_values(
    tmp_path: Path, formula_cells: Callable[[Path], list[tuple[str, str, str, object]]]
) -> None:
    path = write(tmp_path / "quote.xlsx", "=2*C3", 146)
    assert formula_cells(path) == [
        ("Sam\u2019s quote", "C3", "=4*'Rates & more, 100%'!$B$2", 73),
        ("Sam\u2019s quote", "C4", "=2*C3", 146),
    ]


def test_a_workbook_without_formulas_does_not_pass_for_a_checked_one(
    tmp_path: Path, assert_recalculates: Check
) -> None:
    book = Book()
    book.add_sheet("Quote").put_text(1, 1, "=1+1", TEXT)
    path = tmp_path / "quote.xlsx"
    path.write_bytes(workbook_bytes(book, on=date(2026, 3, 4), title="Quote"))
    with pytest.raises(AssertionError, match="no formulas"):
        assert_recalculates(path)


@pytest.mark.parametrize(("in_ci", "outcome"), [("true", "1 error"), ("", "1 skipped")])
def test_without_libreoffice_tests_are_skipped_and_in_ci_they_fail(tmp_path: Path, in_ci: str, outcome: str) -> None:
    (tmp_path / "conftest.py").write_text('pytest_plugins = ["recalculation"]')
    (tmp_path / "test_one.py").write_text("def test_one(recalculate): pass")
    environment = os.environ | {"CI": in_ci, "PATH": "", "PYTHONPATH": str(Path(__file__).parents[1])}
    command = [sys.executable, "-m", "pytest", "-m", "libreoffice", "--rootdir", str(tmp_path), str(tmp_path)]
    command += ["-rs", "-o", "markers=libreoffice"]
    run = subprocess.run(command, env=environment, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert outcome in run.stdout.splitlines()[-1], run.stdout
    assert "soffice" in run.stdout
