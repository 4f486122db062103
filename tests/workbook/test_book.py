import zipfile
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from openpyxl import load_workbook

from estimator.buying.cans import choice_of_cans
from estimator.errors import EstimatorError
from estimator.estimate import Estimate, compare_quantities
from estimator.finish_words import decision_sentences
from estimator.measures import measures
from estimator.workbook.book import (
    BUY_SHEETS,
    buy_workbook,
    quote_workbook,
    sheet_titles,
    write_buy_workbook,
    write_quote_workbook,
)

Sheets = dict[str, dict[str, object]]
Estimated = Callable[[str], Estimate]
Stored = Callable[[Path], Sheets]
Beside = Callable[[dict[str, object], str, str], object]
Check = Callable[[Path], None]

EXAMPLES = ("riverside_tearoom", "orchard_bench")


@pytest.fixture(scope="module", params=EXAMPLES)
def example(request: pytest.FixtureRequest, estimated: Estimated) -> Estimate:
    return estimated(str(request.param))


@pytest.fixture(scope="module")
def quote_path(example: Estimate, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("quote") / "quote.xlsx"
    write_quote_workbook(example, path, replace=False)
    return path


@pytest.fixture(scope="module")
def buy_path(example: Estimate, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("buy") / "buy.xlsx"
    write_buy_workbook(example, path, replace=False)
    return path


@pytest.fixture(scope="module")
def quote_sheets(quote_path: Path, stored: Stored) -> Sheets:
    return stored(quote_path)


def test_every_formula_gives_the_value_stored_beside_it(
    quote_path: Path, buy_path: Path, assert_recalculates: Check
) -> None:
    assert_recalculates(quote_path)
    assert_recalculates(buy_path)


def test_the_quote_asks_for_what_the_estimate_says(example: Estimate, quote_sheets: Sheets, beside: Beside) -> None:
    sheet, quote, shop = quote_sheets["Quote"], example.quote, example.order.shop
    assert beside(sheet, "Subtotal", "E") == pytest.approx(float(quote.subtotal))
    assert beside(sheet, f"{shop.tax.name}, {shop.tax.percent} %", "E") == pytest.approx(float(quote.tax))
    assert beside(sheet, "Total", "E") == pytest.approx(float(quote.total))
    deposit = beside(sheet, f"Deposit with the order, {shop.deposit_percent} %", "E")
    assert deposit == pytest.approx(float(quote.deposit))
    for cost in quote.costs:
        line = [beside(sheet, cost.build.name, column) for column in "CDE"]
        assert line == pytest.approx([cost.quantity, float(cost.unit_price), float(cost.amount)])
    assert beside(sheet, "Date", "B") == str(quote.day)
    assert beside(sheet, "Price good until", "B") == str(quote.valid_until)


def test_the_costing_leads_from_each_kind_of_cost_to_the_price(
    example: Estimate, quote_sheets: Sheets, beside: Beside
) -> None:
    sheet = quote_sheets["Costing"]
    for column, cost in zip("BCD", example.quote.costs, strict=False):
        figures = {
            **{kind.capitalize(): amount for kind, amount in cost.by_kind.items()},
            "Cost of all": cost.cost,
            "Cost of one": cost.unit_cost,
            "Price of one with profit": cost.price_before_rounding,
            "Price of one, rounded up": cost.unit_price,
            "Price of all": cost.amount,
            "Minutes of labour": cost.minutes,
        }
        shown = {label: beside(sheet, label, column) for label in figures}
        assert shown == pytest.approx({label: float(figure) for label, figure in figures.items()})


def test_the_sheets_behind_it_add_up_to_the_estimate(example: Estimate, quote_sheets: Sheets, beside: Beside) -> None:
    sheets = quote_sheets
    bill = sheets["Bill of materials"]
    assert beside(bill, "Total", "F") == pytest.approx(float(sum(line.bought.amount for line in example.bill)))
    assert beside(bill, "Total", "H") == pytest.approx(float(sum(line.charged for line in example.bill)))
    assert beside(sheets["Buy sheet"], "Total", "F") == pytest.approx(float(example.buy_sheet.amount))
    labour = sheets["Labour"]
    assert beside(labour, "Total", "H") == pytest.approx(float(sum(line.minutes for line in example.labour)))
    assert beside(labour, "Total", "K") == pytest.approx(float(sum(line.amount for line in example.labour)))


def test_the_finish_sheet_shows_need_cans_and_left_over(
    example: Estimate, quote_sheets: Sheets, beside: Beside
) -> None:
    sheet, shown = quote_sheets["Finish"], measures(example.order.shop.unit)
    (bought,) = example.buy_sheet.finish
    assert beside(sheet, f"Need to cover, {shown.liquid}", "D") == pytest.approx(shown.liquid_of(bought.need.need_gal))
    assert beside(sheet, f"Left over, {shown.liquid}", "D") == pytest.approx(shown.liquid_of(bought.left_over_gal))
    assert set(decision_sentences(example.order, bought, choice_of_cans(bought, example.order))) <= set(sheet.values())
    for coat in bought.need.coats:
        assert any(coat.rate_source in str(value) and coat.loss_source in str(value) for value in sheet.values())


def test_the_hardware_sheet_shows_what_is_used_and_left_over(example: Estimate, quote_sheets: Sheets) -> None:
    sheet = quote_sheets["Hardware"]
    together = next(int(cell[1:]) for cell, value in sheet.items() if value == "Together")
    for row, bought in enumerate(example.buy_sheet.hardware, start=together + 2):
        assert sheet[f"A{row}"] == bought.need.title(example.order.shop.unit)
        assert [sheet[f"{column}{row}"] for column in "BCDFG"] == [
            bought.need.quantity,
            bought.need.spares,
            bought.need.quantity + bought.need.spares,
            bought.pieces,
            bought.left_over,
        ]


def test_the_comparison_shows_each_quantity_and_what_it_saves(example: Estimate, quote_sheets: Sheets) -> None:
    sheet = quote_sheets["Comparison"]
    row = 6
    for comparison in compare_quantities(example.order):
        assert sheet[f"A{row - 2}"] == comparison.build
        for one in comparison.quantities:
            shown = [sheet[f"{column}{row}"] for column in "AHIJ"]
            assert shown == pytest.approx(
                [one.quantity, float(one.unit_cost), float(one.unit_price), float(one.minutes) / 60]
            )
            row += 1
        row += 3
        for one in comparison.quantities:
            assert [sheet[f"{column}{row}"] for column in "AI"] == pytest.approx(
                [one.quantity, float(one.saved_in_all)]
            )
            row += 1
        row = next((int(cell[1:]) + 2 for cell, text in sheet.items() if text == "Side table"), 0)


def test_nothing_of_the_shops_own_business_is_on_the_quote(
    example: Estimate, quote_path: Path, quote_sheets: Sheets
) -> None:
    shown = quote_sheets["Quote"].values()
    texts = " ".join(str(value) for value in shown if isinstance(value, str)).casefold()
    numbers = [value for value in shown if isinstance(value, int | float)]
    for word in ("margin", "markup", "overhead", "cost", "labour", "profit", "supplier"):
        assert word not in texts
    for cost in example.quote.costs:
        assert float(cost.unit_cost) not in numbers
        assert float(cost.cost) not in numbers
    sheet = load_workbook(quote_path)["Quote"]
    assert sheet.oddFooter is not None
    assert sheet.oddFooter.right.text == "Page &P"  # not how many pages there are with the shop's own sheets
    assert not [cell for row in sheet.iter_rows() for cell in row if cell.comment]


def test_the_sheets_stand_in_the_order_a_reader_wants_them(example: Estimate, quote_path: Path, buy_path: Path) -> None:
    assert tuple(load_workbook(quote_path).sheetnames) == sheet_titles(example)
    assert tuple(load_workbook(buy_path).sheetnames) == BUY_SHEETS


def test_values_are_there_for_programs_that_do_not_calculate(example: Estimate, quote_path: Path) -> None:
    frame = pd.read_excel(quote_path, sheet_name="Bill of materials", header=3, engine="openpyxl")
    assert frame["Charged"].iloc[:-1].tolist() == pytest.approx([float(line.charged) for line in example.bill])
    quote = pd.read_excel(quote_path, sheet_name="Quote", header=None, engine="openpyxl")
    (total,) = quote[quote[0] == "Total"][4]
    assert total == pytest.approx(float(example.quote.total))


def test_charts_carry_their_values_for_previews(example: Estimate, quote_path: Path) -> None:
    with zipfile.ZipFile(quote_path) as parts:
        charts = [parts.read(name).decode() for name in parts.namelist() if name.startswith("xl/charts/chart")]
    assert len(charts) == 2 * len(example.order.items)
    assert all("<numCache>" in chart for chart in charts)
    prices = [f"{float(one.unit_price):g}" for one in compare_quantities(example.order)[0].quantities]
    curves = next(chart for chart in charts if "cost and price of one" in chart)
    position = -1
    for price in prices:
        position = curves.index(f"<v>{price}</v>", position + 1)


def test_the_same_order_gives_the_same_bytes(example: Estimate, quote_path: Path, buy_path: Path) -> None:
    assert quote_workbook(example) == quote_path.read_bytes()
    assert buy_workbook(example) == buy_path.read_bytes()


@pytest.mark.parametrize("write", [write_quote_workbook, write_buy_workbook])
def test_an_existing_file_is_replaced_only_when_asked(
    write: Callable[..., None], estimated: Estimated, tmp_path: Path
) -> None:
    path = tmp_path / "bench.xlsx"
    path.write_bytes(b"last week's quote")
    with pytest.raises(EstimatorError, match=r"bench\.xlsx"):
        write(estimated("orchard_bench"), path, replace=False)
    assert path.read_bytes() == b"last week's quote"
    write(estimated("orchard_bench"), path, replace=True)
    assert zipfile.is_zipfile(path)
    assert [one.name for one in tmp_path.iterdir()] == ["bench.xlsx"]
