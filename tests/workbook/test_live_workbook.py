"""A reader changes a framed cell: what the spreadsheet program then shows is what the program itself would say."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.estimate import Estimate
from estimator.workbook.book import quote_workbook

Sheets = dict[str, dict[str, object]]
Recalculate = Callable[[Path], Sheets]
FormulaCells = Callable[[Path], list[tuple[str, str, str, object]]]
MONEY_SHEETS = ("Quote", "Costing", "Bill of materials", "Buy sheet", "Labour", "Prices used")

Change = tuple[str, str, str, float]  # sheet, label in the row, column, new value


@pytest.fixture
def agrees_after(
    example_copy: Callable[[str], Path],
    estimated: Callable[[Path], Estimate],
    change_file: Callable[..., None],
    recalculate: Recalculate,
    formula_cells: FormulaCells,
    tmp_path: Path,
) -> Callable[..., None]:
    """Change cells of an example's workbook, and its lists likewise; every formula must come to what the lists give."""

    def check(
        name: str, cells: list[Change], lists: dict[str, list[tuple[str, str]]], sheets: tuple[str, ...] = MONEY_SHEETS
    ) -> None:
        folder = example_copy(name)
        shop = folder / "shop.toml"
        shop.write_text(re.sub("quantities = .*", "quantities = [1]", shop.read_text("utf-8")), "utf-8")  # for speed
        before = estimated(folder)
        edited, fresh = tmp_path / "edited.xlsx", tmp_path / "fresh.xlsx"
        edited.write_bytes(quote_workbook(before))
        _change_cells(edited, cells)
        for file, replacements in lists.items():
            change_file(folder / file, *replacements)
        after = estimated(folder)
        assert _plan(after) == _plan(before)  # else the program would buy otherwise, which a workbook cannot
        fresh.write_bytes(quote_workbook(after))
        found, differences, changed = recalculate(edited), [], 0
        old = {(sheet, cell): value for sheet, cell, _, value in formula_cells(edited)}
        for sheet, cell, formula, value in formula_cells(fresh):
            if sheet in sheets:
                same = found[sheet][cell] == pytest.approx(value, rel=1e-6, abs=0.001)
                differences += [] if same else [f"{sheet}!{cell} {formula}: {found[sheet][cell]} for {value}"]
                changed += old[sheet, cell] != value
        assert not differences, "\n".join(differences)
        assert changed

    return check


def _change_cells(path: Path, cells: list[Change]) -> None:
    values = load_workbook(path, data_only=True)  # openpyxl drops the stored values of formulas when it saves
    book = load_workbook(path)
    for title, label, column, value in cells:
        sheet = values[title]
        (row, *_) = [
            row for row in range(1, sheet.max_row + 1) if label in (sheet.cell(row, 1).value, sheet.cell(row, 2).value)
        ]
        assert sheet[f"{column}{row}"].value is not None
        book[title][f"{column}{row}"] = value
    book.save(path)


def _plan(estimate: Estimate) -> list[tuple[str, object, str]]:
    return [(line.bought.item, line.bought.quantity, line.bought.unit) for line in estimate.bill]


def test_prices_of_boards_and_screws_carry_through_to_the_quote(agrees_after: Callable[..., None]) -> None:
    # The only length of 2x2, and the only pack of the long screws that the plan takes.
    agrees_after(
        "riverside_tearoom",
        [
            ("Prices used", "western larch Select 2x2, 8 ft", "C", 10.07),
            ("Prices used", "screw #10 x 3 in, stainless", "C", 15.35),
        ],
        {
            "../../price_tables/inch_usd/lumber.csv": [("Select,2x2,8 ft,9.44", "Select,2x2,8 ft,10.07")],
            "../../price_tables/inch_usd/hardware.csv": [
                ("screw,#10,3,stainless,50,15.10", "screw,#10,3,stainless,50,15.35")
            ],
        },
    )


def test_prices_per_metre_per_cubic_metre_and_per_hour_carry_through(agrees_after: Callable[..., None]) -> None:
    agrees_after(
        "orchard_bench",
        [
            ("Prices used", "black locust planed 30 x 45 mm, 3 m", "C", 4.19),
            ("Prices used", "black locust A 52 mm, random lengths", "C", 1515.50),
            ("Prices used", "Journeyman", "C", 32.75),
        ],
        {
            "../../price_tables/metric_eur/lumber.csv": [
                ("planed,30 x 45 mm,3000,4.35", "planed,30 x 45 mm,3000,4.19"),
                ("A,52 mm,random,1480.00", "A,52 mm,random,1515.50"),
            ],
            "../../price_tables/metric_eur/labour_rates.csv": [("Journeyman,31.00", "Journeyman,32.75")],
        },
    )


def test_the_margin_and_the_step_carry_through_to_the_quote(agrees_after: Callable[..., None]) -> None:
    agrees_after(
        "riverside_tearoom",
        [("Costing", "Margin, share of the price", "B", 0.265), ("Costing", "Price of one rounded up to", "B", 0.05)],
        {"shop.toml": [("margin_percent = 22", "margin_percent = 26.5"), ("round_up_to = 5", "round_up_to = 0.05")]},
    )


def test_the_markup_the_tax_and_the_overhead_carry_through_to_the_quote(agrees_after: Callable[..., None]) -> None:
    agrees_after(
        "orchard_bench",
        [
            ("Costing", "Markup, share of the cost", "B", 0.415),
            ("Costing", "VAT, share of the price", "B", 0.077),
            ("Costing", "Overhead, share of labour", "B", 0.4),
            ("Costing", "Deposit, share of the total", "B", 0.3333),
        ],
        {
            "shop.toml": [
                ("markup_percent = 30", "markup_percent = 41.5"),
                ("percent = 19", "percent = 7.7"),
                ("percent_of_labour = 35", "percent_of_labour = 40"),
                ("deposit_percent = 50", "deposit_percent = 33.33"),
            ]
        },
    )


def test_minutes_carry_through_and_move_the_shares_of_the_common_work(agrees_after: Callable[..., None]) -> None:
    # The chairs now take more of the minutes, so they bear more of fetching the lumber too.
    agrees_after(
        "riverside_tearoom",
        [("Labour", "Crosscut and mitre", "E", 1.15), ("Labour", "Unload and stack", "E", 2)],
        {
            "terrace_chair/labour.csv": [("Crosscut and mitre,cut,0.7,", "Crosscut and mitre,cut,1.15,")],
            "shop_labour.csv": [("Unload and stack,board,1.5", "Unload and stack,board,2")],
        },
    )


def test_a_spreading_rate_carries_through_to_the_need(agrees_after: Callable[..., None]) -> None:
    # The table's rate for first coats; the bench's first coat is the only one in the order.
    agrees_after(
        "orchard_bench",
        [("Finish", "Garden bench", "L", 9)],
        {"../../price_tables/metric_eur/spread_rates.csv": [("smooth,first,10 - 12", "smooth,first,9 - 12")]},
        ("Finish",),
    )


def test_a_changed_number_of_coats_carries_through_to_the_need(agrees_after: Callable[..., None]) -> None:
    # A third coat on the tables still fits into the five gallons; it takes the rate of further coats.
    agrees_after(
        "riverside_tearoom",
        [("Finish", "Side table", "B", 3)],
        {"side_table/finish.csv": [('driftwood",2,all', 'driftwood",3,all')]},
        ("Finish",),
    )


def test_the_thirst_of_end_grain_carries_through_to_the_need(agrees_after: Callable[..., None]) -> None:
    agrees_after(
        "orchard_bench",
        [("Finish", "End grain drinks more: ends count so many times", "D", 2.5)],
        {"shop.toml": [("end_grain_factor = 2", "end_grain_factor = 2.5")]},
        ("Finish",),
    )
