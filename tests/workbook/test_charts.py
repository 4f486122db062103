from datetime import date
from decimal import Decimal
from io import BytesIO
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook
from openpyxl.chart import BarChart, ScatterChart

from estimator.workbook.cells import Book
from estimator.workbook.charts import ChartFrame, ChartValues, put_curves, put_stacked_columns
from estimator.workbook.places import Area
from estimator.workbook.save import workbook_bytes

FRAME = ChartFrame(title="Price & quantity", y_title="USD each", y_format='"$"#,##0')


def column(title: str, number: int, *values: Decimal | int) -> ChartValues:
    area = Area(sheet="Sam\u2019s", first_row=2, first_column=number, last_row=1 + len(values), last_column=number)
    return ChartValues(title=title, area=area, values=values)


QUANTITY = column("Chairs", 1, 1, 4, 24)
UNIT_PRICE = column("Price each", 2, Decimal("612.50"), Decimal("431.00"), Decimal("355.25"))
WOOD = column("Wood", 3, 150, 131, 125)


def book_with_charts() -> bytes:
    book = Book()
    sheet = book.add_sheet("Sam\u2019s")
    put_curves(sheet, sheet.place(6, 1), FRAME, x=QUANTITY, curves=[UNIT_PRICE])
    put_stacked_columns(sheet, sheet.place(26, 1), FRAME, x=QUANTITY, parts=[WOOD, UNIT_PRICE])
    return workbook_bytes(book, on=date(2026, 3, 4), title="Quote")


@pytest.fixture
def charts() -> tuple[ScatterChart, BarChart]:
    curves, columns = load_workbook(BytesIO(book_with_charts())).worksheets[0]._charts  # type: ignore[attr-defined]  # noqa: SLF001  # no public list
    return curves, columns


def test_a_curve_is_straight_between_its_points_over_true_distances(charts: tuple[ScatterChart, BarChart]) -> None:
    curves, _ = charts
    assert isinstance(curves, ScatterChart)
    (series,) = curves.series
    assert series.smooth is False
    assert series.xVal.numRef.f == "'Sam\u2019s'!$A$2:$A$4"
    assert series.yVal.numRef.f == "'Sam\u2019s'!$B$2:$B$4"


def test_charts_carry_their_numbers_for_previews(charts: tuple[ScatterChart, BarChart]) -> None:
    curves, columns = charts
    assert [float(point.v) for point in curves.series[0].xVal.numRef.numCache.pt] == [1, 4, 24]
    assert [float(point.v) for point in curves.series[0].yVal.numRef.numCache.pt] == [612.5, 431, 355.25]
    assert [float(point.v) for point in columns.series[0].val.numRef.numCache.pt] == [150, 131, 125]


def test_parts_stand_on_each_other(charts: tuple[ScatterChart, BarChart]) -> None:
    _, columns = charts
    assert isinstance(columns, BarChart)
    assert (columns.grouping, columns.overlap, columns.barDir) == ("stacked", 100, "col")
    assert [series.tx.v for series in columns.series] == ["Wood", "Price each"]


def test_axes_are_shown_and_amounts_start_at_zero(charts: tuple[ScatterChart, BarChart]) -> None:
    for chart in charts:
        assert chart.x_axis.delete is False
        assert chart.y_axis.delete is False
        assert chart.y_axis.scaling is not None
        assert chart.y_axis.scaling.min == 0


def test_a_legend_is_there_only_where_there_is_something_to_tell_apart() -> None:
    with ZipFile(BytesIO(book_with_charts())) as parts:
        assert b"<legend>" not in parts.read("xl/charts/chart1.xml")
        assert b"<legend>" in parts.read("xl/charts/chart2.xml")
