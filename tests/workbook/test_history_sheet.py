"""The workbook of `estimator prices history`: what stands in it, and what its formulas and charts are drawn from."""

import zipfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from estimator.errors import Findings, Origin
from estimator.keeping.history import ItemHistory, PriceChange
from estimator.reading.shop import Shop, read_shop
from estimator.reading.suppliers import Suppliers
from estimator.workbook.history_sheet import MOST_CHARTS, history_workbook

TODAY = date(2026, 11, 24)
GOOD = Path(__file__).parents[1] / "broken" / "_good" / "shop.toml"


def item(
    name: str, *prices: tuple[date, str | None], supplier: str = "Fernhill", source: str = "yard.csv"
) -> ItemHistory:
    changes = tuple(
        PriceChange(
            origin=Origin(file="price_history.csv", line=line),
            day=day,
            table="lumber",
            supplier=supplier,
            item=name,
            per="each",
            price=None if price is None else Decimal(price),
            source=source,
        )
        for line, (day, price) in enumerate(prices, 2)
    )
    return ItemHistory(supplier=supplier, item=name, per="each", changes=changes)


LARCH = item(
    "larch 2x4, 96 in",
    (date(2025, 1, 5), "8.00"),
    (date(2025, 3, 1), "10.00"),
    (date(2025, 6, 1), None),
    (date(2026, 2, 1), "12.505"),
)
OAK = item("oak 2x4, 96 in", (date(2026, 1, 1), "20.00"))


@pytest.fixture(scope="module")
def shop() -> Shop:
    findings = Findings()
    found = read_shop(GOOD, findings)
    findings.raise_faults()
    return found


def content(shop: Shop, *histories: ItemHistory) -> bytes:
    return history_workbook(histories, "2x4", shop, Suppliers(own_currency=shop.currency, known={}), TODAY)


def book(shop: Shop, *histories: ItemHistory, values: bool = False) -> Workbook:
    return load_workbook(BytesIO(content(shop, *histories)), data_only=values)


def table(sheet: Any, row: int, columns: int) -> list[list[object]]:  # noqa: ANN401 - a sheet of the library
    rows: Sequence[Sequence[object]] = list(sheet.iter_rows(min_row=row, max_col=columns, values_only=True))
    return [[cell.date() if isinstance(cell, datetime) else cell for cell in cells] for cells in rows]


def test_each_price_has_a_row_one_item_after_the_other(shop: Shop) -> None:
    rows = table(book(shop, LARCH, OAK, values=True)["Price history"], 4, 7)
    assert rows[0] == ["Day", "Supplier", "Item", "Per", "Price", "Change", "From"]
    fernhill = ["Fernhill", "larch 2x4, 96 in", "each"]
    assert rows[1:] == [
        [date(2025, 1, 5), *fernhill, 8, None, "yard.csv"],
        [date(2025, 3, 1), *fernhill, 10, 0.25, "yard.csv"],
        [date(2025, 6, 1), *fernhill, None, "gone", "yard.csv"],
        [date(2026, 2, 1), *fernhill, 12.505, None, "yard.csv"],
        [date(2026, 1, 1), "Fernhill", "oak 2x4, 96 in", "each", 20, None, "yard.csv"],
    ]


def test_the_change_is_live_and_reckoned_within_an_item_only(shop: Shop) -> None:
    sheet = book(shop, LARCH, OAK)["Price history"]
    assert [sheet.cell(row, 6).value for row in range(5, 10)] == [None, "=E6/E5-1", "gone", None, None]


def test_every_formula_comes_to_what_is_stored(
    shop: Shop, tmp_path: Path, assert_recalculates: Callable[[Path], None]
) -> None:
    path = tmp_path / "history.xlsx"
    path.write_bytes(content(shop, LARCH, OAK, item("=oak", (TODAY, "1"), (TODAY, "3"), supplier="+Yard's")))
    assert_recalculates(path)


def test_a_price_changed_in_the_table_carries_through_to_change_and_chart(
    shop: Shop, tmp_path: Path, recalculate: Callable[[Path], dict[str, dict[str, object]]]
) -> None:
    path = tmp_path / "history.xlsx"
    changed = book(shop, LARCH)
    changed["Price history"]["E6"] = 12
    changed.save(path)
    sheets = recalculate(path)
    assert sheets["Price history"]["F6"] == pytest.approx(0.5)
    assert [sheets["Behind the charts"][f"B{row}"] for row in range(6, 12)] == [8, 8, 12, 12, 12.505, 12.505]


def test_a_price_stands_behind_the_chart_on_the_day_it_came_and_on_the_day_it_went(shop: Shop) -> None:
    rows = table(book(shop, LARCH, values=True)["Behind the charts"], 6, 2)
    assert rows == [
        [date(2025, 1, 5), 8],
        [date(2025, 3, 1), 8],
        [date(2025, 3, 1), 10],
        [date(2025, 6, 1), 10],
        [date(2026, 2, 1), 12.505],
        [TODAY, 12.505],
    ]


def test_a_chart_has_days_on_its_axis_a_line_for_each_stretch_and_no_legend(shop: Shop) -> None:
    (chart,) = book(shop, LARCH, OAK)["Charts"]._charts  # type: ignore[attr-defined]  # noqa: SLF001  # no public list
    assert [series.xVal.numRef.f for series in chart.series] == [
        "'Behind the charts'!$A$6:$A$9",
        "'Behind the charts'!$A$10:$A$11",
    ]
    assert [series.yVal.numRef.f for series in chart.series] == [
        "'Behind the charts'!$B$6:$B$9",
        "'Behind the charts'!$B$10:$B$11",
    ]
    assert [float(point.v) for point in chart.series[1].yVal.numRef.numCache.pt] == [12.505, 12.505]
    assert chart.legend is None
    assert chart.x_axis.numFmt.formatCode == "yyyy-mm-dd"
    # 688 days from 5 January 2025 to 24 November 2026; a sixth of them, rounded up, is 115.
    assert (chart.x_axis.scaling.min, chart.x_axis.majorUnit) == (45662, 115)
    assert chart.x_axis.scaling.max == 45662 + 6 * 115
    assert chart.y_axis.scaling.min == 0


@pytest.mark.parametrize(
    ("prices", "start", "title"),
    [
        # A span of 0.35 less a quarter of it below 9.70, down to a tenth.
        (("9.70", "10.05"), 9.6, "price each, from $9.60 up"),
        (("0.035", "0.036"), 0.034, "price each, from $0.034 up"),
        (("4000", "4600"), 3800, "price each, from $3,800.00 up"),
        (("8.00", "12.00"), 0, "price each"),
    ],
)
def test_an_axis_begins_near_prices_that_are_close_and_says_so(
    prices: Sequence[str], start: float, title: str, shop: Shop
) -> None:
    days = (date(2025, 1, 5), date(2025, 3, 1))
    close = item("oak", *zip(days, prices, strict=True))
    (chart,) = book(shop, close)["Charts"]._charts  # type: ignore[attr-defined]  # noqa: SLF001
    assert chart.y_axis.scaling.min == start
    assert chart.y_axis.title.tx.rich.p[0].r[0].t == title


def test_what_a_price_was_worked_out_from_stands_beside_it(shop: Shop) -> None:
    first, second = LARCH.changes[:2]
    by_the_foot = replace(LARCH, changes=(replace(first, price=Decimal("1.25"), written=first), second))
    rows = table(book(shop, by_the_foot, values=True)["Price history"], 4, 8)
    assert [row[7] for row in rows] == ["Worked out from", "$8.00 each", None]


def test_items_of_one_price_have_no_charts(shop: Shop) -> None:
    assert book(shop, OAK).sheetnames == ["Price history"]


def test_only_the_items_that_changed_most_often_are_drawn_and_it_says_so(shop: Shop) -> None:
    found = book(shop, *(often_changed(f"oak {n}", n + 1) for n in range(MOST_CHARTS + 2)))
    assert titles(found) == [f"oak {n}, Fernhill" for n in range(2, MOST_CHARTS + 2)]
    assert "Shown are the 6 of 8 that changed most often." in str(found["Charts"]["A2"].value)


def often_changed(name: str, times: int, *, is_gone: bool = False) -> ItemHistory:
    """Return an item whose price changed so many times, and that is sold no more thereafter if `is_gone`."""
    prices = [(date(2026, month, 1), str(month)) for month in range(1, times + 2)]
    return item(name, *prices, *([(date(2026, 11, 1), None)] if is_gone else []))


def titles(found: Workbook) -> list[str]:
    charts = found["Charts"]._charts  # type: ignore[attr-defined]  # noqa: SLF001
    return [chart.title.tx.rich.p[0].r[0].t for chart in charts]


def test_goods_that_are_gone_or_back_at_their_price_have_not_changed(shop: Shop) -> None:
    gone = item("ash", (date(2026, 1, 1), "8"), (date(2026, 2, 1), None))
    back = item("elm", (date(2026, 1, 1), "8"), (date(2026, 2, 1), None), (date(2026, 3, 1), "8"))
    assert book(shop, gone, back).sheetnames == ["Price history"]
    assert titles(book(shop, gone, often_changed("oak", 1), back)) == ["oak, Fernhill"]


def test_goods_still_sold_are_drawn_before_those_that_changed_more_often(shop: Shop) -> None:
    gone = [often_changed(f"ash {n}", 5, is_gone=True) for n in range(3)]
    found = book(shop, *gone, *(often_changed(f"oak {n}", 1) for n in range(MOST_CHARTS - 1)))
    assert titles(found) == ["ash 0, Fernhill", *(f"oak {n}, Fernhill" for n in range(MOST_CHARTS - 1))]
    assert "Shown are 6 of 8 that changed, those still sold first." in str(found["Charts"]["A2"].value)
    found = book(shop, *gone, *(often_changed(f"oak {n}", n + 1) for n in range(MOST_CHARTS + 1)))
    assert titles(found) == [f"oak {n}, Fernhill" for n in range(1, MOST_CHARTS + 1)]
    assert "Shown are the 6 of 7 still sold that changed most often." in str(found["Charts"]["A2"].value)


def test_texts_that_look_like_formulas_stay_texts(shop: Shop) -> None:
    hostile = item("=1+1", (date(2025, 1, 5), "8"), (TODAY, "9"), supplier="@SUM(1)", source="+2")
    for sheet in book(shop, hostile).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert str(cell.value).startswith(("=E", "='Price history'!$"))
    sheet = book(shop, hostile)["Price history"]
    assert [sheet.cell(5, column).quotePrefix for column in (2, 3, 7)] == [True, True, True]


def test_the_same_history_gives_the_same_bytes(shop: Shop) -> None:
    assert content(shop, LARCH, OAK) == content(shop, LARCH, OAK)


def test_every_sheet_prints_on_the_width_of_the_shops_paper(shop: Shop) -> None:
    for sheet in book(shop, LARCH, OAK).worksheets:
        assert sheet.page_setup.paperSize == 1
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.oddFooter is not None
        assert shop.name in str(sheet.oddFooter.left.text)


def test_the_file_holds_no_day_of_writing(shop: Shop) -> None:
    with zipfile.ZipFile(BytesIO(content(shop, LARCH))) as packed:
        assert b"2026-11-24T00:00:00Z" in packed.read("docProps/core.xml")
