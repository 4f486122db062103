"""Charts: curves, steps over days, and stacked columns. They carry their values, so that previews can draw them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import ceil

from openpyxl.chart import BarChart, ScatterChart
from openpyxl.chart.axis import ChartLines, NumericAxis, Scaling, TextAxis
from openpyxl.chart.data_source import AxDataSource, NumData, NumDataSource, NumRef, NumVal
from openpyxl.chart.legend import Legend
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import Series, SeriesLabel, XYSeries
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RegularTextRun

from estimator.workbook.cells import Number, Sheet, clean_text
from estimator.workbook.places import Area, Place
from estimator.workbook.styles import CHART_COLOURS, FONT, HAIRLINE, INK, STONE, UMBER

CURVE_WIDTH_EMU = 19_050  # 1.5 points of 12,700
MOST_DAYS_MARKED = 6  # on the axis of a chart over days, beside the first
_DAY_ZERO = date(1899, 12, 30)  # of spreadsheets, for days after February 1900


@dataclass(frozen=True, kw_only=True, slots=True)
class ChartValues:
    """Numbers a chart shows: what they are called, where they stand, and what they are."""

    title: str
    area: Area
    values: tuple[Number, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class ChartFrame:
    """What stands around a chart, how large it is, and where its axis of values begins."""

    title: str
    y_title: str
    y_format: str
    y_from: Decimal = Decimal(0)
    width_cm: int = 16
    height_cm: float = 8


def put_curves(
    sheet: Sheet, corner: Place, frame: ChartFrame, *, x: ChartValues, curves: Sequence[ChartValues]
) -> None:
    """Draw curves of straight lines over true distances in x: 1, 2, 4 and 24 are not equally far apart."""
    chart = ScatterChart(scatterStyle="lineMarker")
    for index, curve in enumerate(curves):
        colour = CHART_COLOURS[index % len(CHART_COLOURS)]
        series = XYSeries(
            idx=index,
            order=index,
            tx=SeriesLabel(v=clean_text(curve.title)),
            xVal=AxDataSource(numRef=_numbers(x)),
            yVal=NumDataSource(numRef=_numbers(curve)),
            marker=Marker(symbol="circle", size=6, spPr=_filled(colour)),
            spPr=GraphicalProperties(ln=LineProperties(solidFill=colour, w=CURVE_WIDTH_EMU)),
            smooth=False,
        )
        chart.series.append(series)
    _finish(sheet, corner, chart, frame, x.title)


def put_steps(
    sheet: Sheet,
    corner: Place,
    frame: ChartFrame,
    stretches: Sequence[tuple[ChartValues, ChartValues]],
    first_day: date,
    last_day: date,
) -> None:
    """Draw lines over days, all alike, each given by its days and its values: one thing, with gaps where it was not."""
    chart = ScatterChart(scatterStyle="lineMarker")
    for index, (days, values) in enumerate(stretches):
        series = XYSeries(
            idx=index,
            order=index,
            tx=SeriesLabel(v=clean_text(values.title)),
            xVal=AxDataSource(numRef=_numbers(days)),
            yVal=NumDataSource(numRef=_numbers(values)),
            marker=Marker(symbol="none"),
            spPr=GraphicalProperties(ln=LineProperties(solidFill=CHART_COLOURS[0], w=CURVE_WIDTH_EMU)),
            smooth=False,
        )
        chart.series.append(series)
    chart.x_axis = _axis_of_days(first_day, last_day)
    _finish(sheet, corner, chart, frame, stretches[0][0].title)
    chart.legend = None


def day_number(day: date) -> int:
    """Return a day as spreadsheets count it."""
    return (day - _DAY_ZERO).days


def put_stacked_columns(
    sheet: Sheet, corner: Place, frame: ChartFrame, *, x: ChartValues, parts: Sequence[ChartValues]
) -> None:
    """Draw a column for each value of x, made up of the parts from the bottom up."""
    chart = BarChart(barDir="col", grouping="stacked", overlap=100, gapWidth=60)
    for index, part in enumerate(parts):
        series = Series(
            idx=index,
            order=index,
            tx=SeriesLabel(v=clean_text(part.title)),
            cat=AxDataSource(numRef=_numbers(x)),
            val=NumDataSource(numRef=_numbers(part)),
            spPr=_filled(CHART_COLOURS[index % len(CHART_COLOURS)]),
        )
        chart.series.append(series)
    _finish(sheet, corner, chart, frame, x.title)


def _finish(sheet: Sheet, corner: Place, chart: ScatterChart | BarChart, frame: ChartFrame, x_title: str) -> None:
    chart.title = _title(frame.title, size_pt=12, bold=True)
    _dress_axis(chart.x_axis, x_title)
    _dress_axis(chart.y_axis, frame.y_title)
    chart.x_axis.majorGridlines = None
    chart.y_axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=HAIRLINE)))
    chart.y_axis.numFmt = frame.y_format
    chart.y_axis.scaling = Scaling(
        orientation="minMax", min=float(frame.y_from)
    )  # seldom above zero: a cut-off foot looks too steep
    chart.legend = Legend(legendPos="b", txPr=_text_look(9)) if len(chart.series) > 1 else None
    chart.roundedCorners = False
    chart.width, chart.height = frame.width_cm, frame.height_cm
    sheet.worksheet.add_chart(chart, corner.ref)


def _axis_of_days(first_day: date, last_day: date) -> NumericAxis:
    """Return an axis from the first day on, marked in even steps of whole days."""
    first, span = day_number(first_day), max(1, (last_day - first_day).days)
    step = ceil(span / MOST_DAYS_MARKED)
    return NumericAxis(
        axId=10,  # and 100 are what the library numbers the two axes
        crossAx=100,
        numFmt="yyyy-mm-dd",
        majorUnit=step,
        scaling=Scaling(orientation="minMax", min=first, max=first + step * ceil(span / step)),
    )


def _numbers(values: ChartValues) -> NumRef:
    points = [NumVal(idx=index, v=repr(float(value))) for index, value in enumerate(values.values)]
    return NumRef(f=values.area.full_ref, numCache=NumData(formatCode="General", ptCount=len(points), pt=points))


def _filled(colour: str) -> GraphicalProperties:
    return GraphicalProperties(solidFill=colour, ln=LineProperties(noFill=True))


def _dress_axis(axis: NumericAxis | TextAxis, title: str) -> None:
    axis.delete = False  # left unsaid, newer programs hide the axis
    axis.title = _title(title, size_pt=9, bold=False)
    axis.txPr = _text_look(9)
    axis.majorTickMark = "out"
    axis.spPr = GraphicalProperties(ln=LineProperties(solidFill=STONE))


def _title(text: str, *, size_pt: int, bold: bool) -> Title:
    look = _letters(size_pt, bold=bold, colour=UMBER if bold else STONE)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=look), r=[RegularTextRun(rPr=look, t=clean_text(text))])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)


def _text_look(size_pt: int) -> RichText:
    look = _letters(size_pt, bold=False, colour=INK)
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=look), r=(), endParaRPr=look)])


def _letters(size_pt: int, *, bold: bool, colour: str) -> CharacterProperties:
    return CharacterProperties(sz=100 * size_pt, b=bold, solidFill=colour, latin=Font(typeface=FONT))
