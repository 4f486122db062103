"""Tables: columns described as data, and one loop that writes every table of the workbook."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Generic, TypeVar

from estimator.workbook.cells import Number, Sheet
from estimator.workbook.places import Area, Place
from estimator.workbook.styles import HEADING, TEXT, Style, aligned, as_total

Row = TypeVar("Row")
Content = str | Number | date | None
Refs = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)  # with slots, `Column[Line](...)` fails in Python 3.11
class Column(Generic[Row]):
    """One column of a table whose lines are records of type Row.

    `value` gives what the cell shows, None for an empty one. With `formula` the cell is live: it is given the line and
    the reference of every column in that line by name, and its result must be `value`; None leaves that line a plain
    value. `total` is the look of the sum under the column; without it there is none.

        Column(name="amount", heading="Amount", width=12, style=usd, value=lambda line: line.amount,
               formula=lambda line, at: f"=ROUND({at['quantity']}*{at['price']},2)", total=as_total(usd))
    """

    name: str
    heading: str
    width: float
    style: Style | Callable[[Row], Style]
    value: Callable[[Row], Content]
    formula: Callable[[Row, Refs], str | None] | None = None
    total: Style | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PlacedTable:
    """Where a table landed, so that formulas elsewhere can refer to it."""

    sheet: str
    heading_row: int
    first_row: int
    last_row: int
    total_row: int | None
    column_numbers: Mapping[str, int]

    @property
    def next_row(self) -> int:
        """The first free row below."""
        return (self.total_row or self.last_row) + 1

    def cell(self, name: str, line: int) -> Place:
        """Return the cell of a column in a line; lines count from 0 as the records do."""
        row = self.first_row + line
        if not self.first_row <= row <= self.last_row:
            raise ValueError(f"the table in {self.sheet} has no line {line}")
        return Place(sheet=self.sheet, row=row, column=self.column_numbers[name])

    def column(self, name: str) -> Area:
        """Return all cells of a column, without heading and total."""
        column = self.column_numbers[name]
        return Area(
            sheet=self.sheet, first_row=self.first_row, first_column=column, last_row=self.last_row, last_column=column
        )

    def total(self, name: str) -> Place:
        """Return the cell with the sum of a column."""
        if self.total_row is None:
            raise ValueError(f"the table in {self.sheet} has no totals")
        return Place(sheet=self.sheet, row=self.total_row, column=self.column_numbers[name])


def write_table(
    sheet: Sheet,
    columns: Sequence[Column[Row]],
    lines: Sequence[Row],
    *,
    row: int,
    first_column: int = 1,
    total_label: str = "Total",
) -> PlacedTable:
    """Write a heading row, a row for each line and, where a column asks for a sum, a row of totals."""
    numbers = {column.name: number for number, column in enumerate(columns, start=first_column)}
    if len(numbers) != len(columns):
        raise ValueError("two columns of a table have the same name")
    has_total = any(column.total for column in columns)
    placed = PlacedTable(
        sheet=sheet.title,
        heading_row=row,
        first_row=row + 1,
        last_row=row + len(lines),
        total_row=row + len(lines) + 1 if has_total else None,
        column_numbers=numbers,
    )
    for column in columns:
        _write_heading(sheet, column, lines, placed)
    for index, line in enumerate(lines):
        _write_line(sheet, columns, line, placed, index)
    if placed.total_row is not None:
        _write_totals(sheet, columns, lines, placed, total_label)
    return placed


def _write_heading(sheet: Sheet, column: Column[Row], lines: Sequence[Row], placed: PlacedTable) -> None:
    number = placed.column_numbers[column.name]
    sheet.widen(number, column.width)
    side = _style(column, lines[0]).horizontal if lines else "left"
    sheet.put_text(placed.heading_row, number, column.heading, aligned(HEADING, side))


def _write_line(sheet: Sheet, columns: Sequence[Column[Row]], line: Row, placed: PlacedTable, index: int) -> None:
    at = {name: placed.cell(name, index).ref for name in placed.column_numbers}
    for column in columns:
        place = placed.cell(column.name, index)
        formula = column.formula(line, at) if column.formula else None
        value, style = column.value(line), _style(column, line)
        if formula is None:
            _put(sheet, place, value, style)
        elif value is None:
            raise ValueError(f"the formula in {place.full_ref} has no value")
        else:
            sheet.put_formula(place.row, place.column, formula, value, style)


def _write_totals(
    sheet: Sheet, columns: Sequence[Column[Row]], lines: Sequence[Row], placed: PlacedTable, label: str
) -> None:
    label_style = as_total(TEXT)
    for index, column in enumerate(columns):
        place = placed.total(column.name)
        if column.total and lines:
            formula = f"=SUM({placed.column(column.name).ref})"
            sheet.put_formula(place.row, place.column, formula, _sum(column, lines), column.total)
        elif column.total:
            sheet.put_number(place.row, place.column, 0, column.total)
        elif index == 0:
            sheet.put_text(place.row, place.column, label, label_style)
        else:
            sheet.put_blank(place.row, place.column, label_style)


def _style(column: Column[Row], line: Row) -> Style:
    return column.style if isinstance(column.style, Style) else column.style(line)


def _sum(column: Column[Row], lines: Sequence[Row]) -> Fraction:
    """Return the exact sum of the numbers of a column; empty cells count nothing, as in SUM."""
    total = Fraction(0)
    for line in lines:
        value = column.value(line)
        if isinstance(value, str | date):
            raise TypeError(f"column {column.name} has a total, but {value!r} is no number")
        total += Fraction(value or 0)
    return total


def _put(sheet: Sheet, place: Place, content: Content, style: Style) -> None:
    match content:
        case None:
            sheet.put_blank(place.row, place.column, style)
        case str():
            sheet.put_text(place.row, place.column, content, style)
        case date():
            sheet.put_date(place.row, place.column, content, style)
        case _:
            sheet.put_number(place.row, place.column, content, style)
