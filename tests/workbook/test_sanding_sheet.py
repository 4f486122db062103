"""The sheet of the sanding, recalculated by the spreadsheet programs and changed by a reader."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.estimate import Estimate
from estimator.workbook.book import QUOTE_SHEETS, quote_workbook

Sheets = dict[str, dict[str, object]]
Beside = Callable[[dict[str, object], str, str], object]
FormulaCells = Callable[[Path], list[tuple[str, str, str, object]]]
BENCHES = Path(__file__).parents[1] / "hand_worked" / "sanded_benches"


@pytest.fixture
def order(tmp_path: Path) -> Path:
    """Return a copy of the order of benches and a shelf, whose figures are worked out in tests/hand_worked."""
    return Path(shutil.copytree(BENCHES, tmp_path / "benches"))


@pytest.fixture
def book(order: Path, estimated: Callable[[Path], Estimate], tmp_path: Path) -> Path:
    """Return its quote workbook."""
    path = tmp_path / "benches.xlsx"
    path.write_bytes(quote_workbook(estimated(order)))
    return path


def test_every_formula_gives_the_value_stored_beside_it(
    book: Path, assert_recalculates: Callable[[Path], None]
) -> None:
    assert_recalculates(book)


def test_a_metric_shop_has_its_sheet_in_square_metres(
    order: Path,
    estimated: Callable[[Path], Estimate],
    change_file: Callable[..., None],
    assert_recalculates: Callable[[Path], None],
    tmp_path: Path,
) -> None:
    change_file(
        order / "shop.toml",
        ('unit = "in"', 'unit = "mm"'),
        ('"1/8"', '"3 mm"'),
        ('"1/2"', '"12 mm"'),
        ('"12"', '"300 mm"'),
        ("minutes_per_ft2 = 0.5", "minutes_per_m2 = 5.5"),
        ('"6 ft2"', '"0.6 m2"'),
    )
    path = tmp_path / "metric.xlsx"
    path.write_bytes(quote_workbook(estimated(order)))
    assert_recalculates(path)
    sheet = load_workbook(path, data_only=True)["Sanding"]
    assert [sheet.cell(7, column).value for column in (4, 5)] == ["Minutes a m2", "Area of one, m2"]
    assert [sheet.cell(8, column).value for column in (4, 5)] == [5.5, 0.6]


def test_the_sheet_shows_what_is_worked_out_by_hand(book: Path, stored: Callable[[Path], Sheets]) -> None:
    sheet = stored(book)["Sanding"]
    # See tests/hand_worked/test_sanded_benches.py: 80 grit on the benches, and the sums of 120 grit on all.
    assert [sheet[f"{column}14"] for column in "ABC"] == ["Bench", "before finish", 80]
    assert [sheet[f"{column}14"] for column in "DEFGHIJKL"] == pytest.approx(
        [36.2499, 6.1251, 2.3280, 44.7030, 48.92955, 0.5, 24.46, 6, 7.4505]
    )
    assert [sheet[f"{column}9"] for column in "CFGI"] == pytest.approx([120, 47.1197, 20.54, 5.8899625])
    assert sheet["J8"] == "timed on four bench seats"
    notes = stored(book)["Notes and cautions"].values()
    assert "80 grit: 0.5 minutes a ft2, 6 ft2 until Sanding disc, 80 grit is dull." in notes
    assert "timed on four bench seats" in notes


def test_what_a_reader_changes_carries_through_to_the_quote(
    order: Path,
    book: Path,
    estimated: Callable[[Path], Estimate],
    change_file: Callable[..., None],
    recalculate: Callable[[Path], Sheets],
    formula_cells: FormulaCells,
    tmp_path: Path,
) -> None:
    # The benches then take other shares of fetching the lumber, and of the gloves and brushes the shop uses on it.
    edited = load_workbook(book)
    for cell, value in {"D4": 2, "D8": 0.65, "D10": 0.25, "E9": 7.5}.items():
        edited["Sanding"][cell] = value
    edited.save(book)
    change_file(
        order / "shop.toml",
        ("edge_factor = 1.5", "edge_factor = 2"),
        ("minutes_per_ft2 = 0.5", "minutes_per_ft2 = 0.65"),
        ("minutes_per_ft2 = 0.2", "minutes_per_ft2 = 0.25"),
        ('"8 ft2"', '"7.5 ft2"'),
    )
    fresh = tmp_path / "fresh.xlsx"
    fresh.write_bytes(quote_workbook(estimated(order)))
    found = recalculate(book)
    # How much of a pack is whose stays as planned: the benches' share of the 120 grit is the same with other discs.
    differences = [
        f"{sheet}!{cell} {formula}: {found[sheet][cell]} for {value}"
        for sheet, cell, formula, value in formula_cells(fresh)
        if sheet in ("Sanding", "Labour", "Costing", "Quote")
        and found[sheet][cell] != pytest.approx(value, rel=1e-6, abs=0.001)
    ]
    assert not differences, "\n".join(differences)
    # Edges and ends now count twice, 36.2499 + 2 x 8.4531 = 53.1561, x 0.65 = 34.55.
    assert found["Sanding"]["J14"] == pytest.approx(34.55)


def test_without_sanding_there_is_no_sheet_of_it(
    small_order: Callable[[dict[str, str | None]], Path], estimated: Callable[[Path], Estimate], tmp_path: Path
) -> None:
    path = tmp_path / "plain.xlsx"
    path.write_bytes(quote_workbook(estimated(small_order({}))))
    assert load_workbook(path).sheetnames == [title for title in QUOTE_SHEETS if title != "Sanding"]
