"""Orders out of the ordinary: their workbooks open, and every formula still gives the value stored beside it."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from estimator.estimate import Estimate
from estimator.workbook.book import buy_workbook, quote_workbook

WriteOrder = Callable[[Mapping[str, str | None]], Path]
Shop = Callable[..., str]
Sheets = dict[str, dict[str, object]]
Made = Callable[[Mapping[str, str | None]], tuple[Estimate, Sheets]]
Beside = Callable[[dict[str, object], str, str], object]


@pytest.fixture
def made(
    small_order: WriteOrder,
    estimated: Callable[[Path], Estimate],
    assert_recalculates: Callable[[Path], None],
    stored: Callable[[Path], Sheets],
    tmp_path: Path,
) -> Made:
    """Make the quote workbook of a changed small order and let the spreadsheet programs recalculate it."""

    def make(changed: Mapping[str, str | None]) -> tuple[Estimate, Sheets]:
        estimate = estimated(small_order(changed))
        path = tmp_path / "odd.xlsx"
        path.write_bytes(quote_workbook(estimate))
        assert_recalculates(path)
        assert buy_workbook(estimate)
        return estimate, stored(path)

    return make


def test_bare_wood_without_hardware_finish_labour_or_consumables(made: Made, beside: Beside) -> None:
    lists = dict.fromkeys(f"stool/{name}.csv" for name in ("hardware", "finish", "labour", "consumables"))
    estimate, sheets = made(lists)
    assert "No hardware is listed for this order." in sheets["Hardware"].values()
    assert "No finish is listed for this order." in sheets["Finish"].values()
    assert "No labour is listed for this order." in sheets["Labour"].values()
    assert beside(sheets["Costing"], "Overhead", "B") == 0
    assert beside(sheets["Costing"], "Cost of all", "B") == float(estimate.bill[0].charged)


def test_a_currency_without_decimals_and_steps_of_a_hundred(made: Made, small_shop: Shop, beside: Beside) -> None:
    tables = {
        "price_tables/lumber.csv": "supplier,species,section,length,price,per,date\n"
        "Yard,western larch,2x4,8 ft,2480,each,2026-10-02\nYard,western larch,2x4,10 ft,312.5,ft,2026-10-02\n",
        "price_tables/hardware.csv": "supplier,kind,size,length,material,pack,price,date\n"
        "Corner Shop,screw,#8,2,steel,50,1190,2026-09-15\nCorner Shop,screw,#8,2,steel,1,27.5,2026-09-15\n",
        "price_tables/finishes.csv": "supplier,product,container,price,date\nShop,Teal oil,1 qt,3740,2026-09-15\n",
        "price_tables/consumables.csv": "supplier,item,pack,unit,price,date\nShop,Rag,25,rag,1410,2026-09-15\n",
        "price_tables/labour_rates.csv": "rate,per_hour,date\nMaker,5100,2026-07-01\n",
    }
    shop = small_shop(
        ('"USD"', '"JPY"'), ("per_labour_hour = 14.50", "percent_of_labour = 42.5"), ("up_to = 5", "up_to = 100")
    )
    estimate, sheets = made({"shop.toml": shop, **tables})
    price = beside(sheets["Quote"], "Stool", "D")
    assert price == float(estimate.quote.costs[0].unit_price)
    assert price % 100 == 0
    assert all(
        float(value).is_integer() for value in (estimate.quote.tax, estimate.quote.total, estimate.quote.deposit)
    )


@pytest.mark.parametrize("step", ["0.05", "0.3"])
def test_prices_rounded_up_to_parts_of_a_dollar(made: Made, small_shop: Shop, step: str) -> None:
    # Neither 0.05 nor 0.3 is a binary fraction; a price that is a whole number of steps must stay as it is.
    estimate, _ = made({"shop.toml": small_shop(("round_up_to = 5", f"round_up_to = {step}"))})
    cost = estimate.quote.costs[0]
    assert cost.unit_price - cost.price_before_rounding < estimate.order.shop.round_up_to


def test_five_builds_share_boards_packs_and_cans(made: Made, beside: Beside) -> None:
    names = ("stool", "second", "third", "fourth", "fifth")
    builds = "".join(f'[[builds]]\nfolder = "{name}"\nquantity = {count}\n' for count, name in enumerate(names, 1))
    lists: dict[str, str | None] = {"order.toml": f'title = "Five"\ndate = 2026-11-24\n{builds}'}
    for name in names[1:]:
        lists |= {
            f"{name}/build.toml": f'name = "{name.capitalize()}"\nunit = "in"\n',
            f"{name}/parts.csv": "part,quantity,species,section,length\nLeg,3,western larch,2x4,13 1/2\n",
            f"{name}/hardware.csv": "kind,size,length,material,joint,joints,each\nscrew,#8,2,steel,leg,3,1\n",
            f"{name}/finish.csv": "product,coats,method\nTeal oil,1,brush\n",
            f"{name}/labour.csv": "operation,per,minutes,rate,learning_percent\nCut,cut,0.7,Maker,85\n",
        }
    lists["fifth/labour.csv"] = lists["fifth/hardware.csv"] = None
    lists["shop_labour.csv"] = "operation,per,minutes,rate\nFetch the boards,order,75,Maker\nStack,board,1.5,Maker\n"
    estimate, sheets = made(lists)
    for column, cost in zip("BCDEF", estimate.quote.costs, strict=True):
        assert beside(sheets["Costing"], "Cost of all", column) == pytest.approx(float(cost.cost))
    whole = float(sum(line.charged for line in estimate.bill) + sum(line.amount for line in estimate.labour))
    assert beside(sheets["Costing"], "Total", "D") == pytest.approx(whole)


def test_common_work_is_shared_by_units_where_no_build_lists_any(made: Made, beside: Beside) -> None:
    order = 'title = "Two"\ndate = 2026-11-24\n[[builds]]\nfolder = "stool"\nquantity = 3\n'
    estimate, sheets = made(
        {
            "order.toml": f'{order}[[builds]]\nfolder = "bench"\nquantity = 1\n',
            "stool/labour.csv": None,
            "bench/build.toml": 'name = "Bench"\nunit = "in"\n',
            "bench/parts.csv": "part,quantity,species,section,length\nSeat,2,western larch,2x4,40\n",
            "shop_labour.csv": "operation,per,minutes,rate\nFetch the boards,order,60,Maker\n",
        }
    )
    assert beside(sheets["Costing"], "Labour", "B") == 3 * 34 / 4
    assert beside(sheets["Costing"], "Labour", "C") == float(estimate.labour[0].by_build[1]) == 34 / 4


def test_tax_on_each_line_a_markup_and_no_deposit(made: Made, small_shop: Shop, beside: Beside) -> None:
    order = 'title = "Two"\ndate = 2026-11-24\n[[builds]]\nfolder = "stool"\nquantity = 1\n'
    shop = small_shop(
        ("margin_percent = 22", "markup_percent = 31.5"),
        ("deposit_percent = 40", "deposit_percent = 0"),
        ("percent = 6.25", 'percent = 6.25\nrounded_per = "line"'),
        ("per_labour_hour = 14.50", "percent_of_labour = 62.5"),
        ("round_up_to = 5", "round_up_to = 0.03"),
    )
    estimate, sheets = made(
        {
            "shop.toml": shop,
            "order.toml": f'{order}[[builds]]\nfolder = "bench"\nquantity = 1\n',
            "bench/build.toml": 'name = "Bench"\nunit = "in"\n',
            "bench/parts.csv": "part,quantity,species,section,length\nSeat,2,western larch,2x4,40\n",
        }
    )
    label = "Sales tax, 6.25 %, rounded on each line"
    assert beside(sheets["Quote"], label, "E") == pytest.approx(float(estimate.quote.tax))
    assert not [text for text in sheets["Quote"].values() if str(text).startswith("Deposit")]


def test_lumber_by_volume_only_and_no_quantities_to_compare(made: Made, small_shop: Shop) -> None:
    estimate, sheets = made(
        {
            "shop.toml": small_shop(("quantities = [1, 3]", "quantities = [1]")) + '\n[yield_percent]\n"FAS" = 61\n',
            "stool/parts.csv": "part,quantity,species,grade,section,length,width\nLeg,4,white oak,FAS,8/4,17 1/2,2\n",
            "price_tables/lumber.csv": "supplier,species,grade,section,length,price,per,date\n"
            "Mill Yard,white oak,FAS,8/4,random,11.405,bf,2026-10-02\n",
        }
    )
    assert not estimate.buy_sheet.boards
    assert any(str(text).startswith("Bought by volume") for text in sheets["Cutting list"].values())
    assert 11.405 in sheets["Bill of materials"].values()  # a price finer than a cent is shown as it is written
    assert [sheets["Comparison"][f"A{row}"] for row in (6, 8)] == [
        1,
        "What one saves against one made alone, and through what",
    ]


def test_a_single_build_without_an_order_and_a_client_who_pays_for_what_is_used(
    small_order: WriteOrder,
    small_shop: Shop,
    estimated: Callable[[Path], Estimate],
    tmp_path: Path,
    assert_recalculates: Callable[[Path], None],
) -> None:
    used = 'hardware = "used"\nlumber = "used"\nfinish = "used"\nconsumables = "used"'
    folder = small_order({"shop.toml": small_shop(('hardware = "used"', used))})
    estimate = estimated(folder / "stool")
    assert any(0 < line.charged_share < 1 for line in estimate.bill)
    path = tmp_path / "stool.xlsx"
    path.write_bytes(quote_workbook(estimate))
    assert_recalculates(path)
