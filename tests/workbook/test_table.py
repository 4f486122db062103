from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.money import Currency
from estimator.workbook.cells import Book
from estimator.workbook.places import Place
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import DATE, TEXT, WHOLE, as_total, length_in, money
from estimator.workbook.table import Column, PlacedTable, write_table

USD = Currency(code="USD")
DOLLARS = money(USD)


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    item: str
    length_in: Fraction
    quantity: int
    price: Decimal
    priced_on: date | None = None

    @property
    def amount(self) -> Decimal:
        return USD.rounded(self.quantity * self.price)


COLUMNS = (
    Column[Line](name="item", heading="Item", width=24, style=TEXT, value=lambda line: line.item),
    Column[Line](
        name="length",
        heading="Length",
        width=10,
        style=lambda line: length_in(line.length_in),
        value=lambda line: line.length_in,
    ),
    Column[Line](name="quantity", heading="Quantity", width=9, style=WHOLE, value=lambda line: line.quantity),
    Column[Line](name="price", heading="Unit price", width=11, style=DOLLARS, value=lambda line: line.price),
    Column[Line](
        name="amount",
        heading="Amount",
        width=12,
        style=DOLLARS,
        value=lambda line: line.amount,
        formula=lambda _, at: f"=ROUND({at['quantity']}*{at['price']},2)",
        total=as_total(DOLLARS),
    ),
    Column[Line](name="priced_on", heading="Priced on", width=12, style=DATE, value=lambda line: line.priced_on),
)
LINES = (
    Line(item="Leg", length_in=Fraction(57, 2), quantity=4, price=Decimal("11.85"), priced_on=date(2026, 2, 1)),
    Line(item="Slat", length_in=Fraction(20), quantity=14, price=Decimal("2.345")),
    Line(item="=Rail", length_in=Fraction(13, 16), quantity=3, price=Decimal("0.115")),
)


def write(lines: tuple[Line, ...], *, row: int = 4, first_column: int = 1) -> tuple[bytes, PlacedTable]:
    book = Book()
    table = write_table(book.add_sheet("Bill"), COLUMNS, lines, row=row, first_column=first_column)
    return workbook_bytes(book, on=date(2026, 3, 4), title="Bill"), table


def read(content: bytes, *, values: bool) -> Worksheet:
    return load_workbook(BytesIO(content), data_only=values).worksheets[0]


def test_a_table_has_headings_lines_and_a_total() -> None:
    content, _ = write(LINES)
    rows = read(content, values=True).iter_rows(min_row=4, max_col=5, values_only=True)
    assert list(rows) == [
        ("Item", "Length", "Quantity", "Unit price", "Amount"),
        ("Leg", 28.5, 4, 11.85, 47.4),
        ("Slat", 20, 14, 2.345, 32.83),
        ("=Rail", 0.8125, 3, 0.115, 0.35),  # 0.345, half up
        ("Total", None, None, None, 80.58),
    ]


def test_amounts_and_totals_are_live() -> None:
    content, _ = write(LINES)
    sheet = read(content, values=False)
    assert sheet["E5"].value == "=ROUND(C5*D5,2)"
    assert sheet["E7"].value == "=ROUND(C7*D7,2)"
    assert sheet["E8"].value == "=SUM(E5:E7)"


def test_each_length_has_the_format_of_its_own_fraction() -> None:
    content, _ = write(LINES)
    sheet = read(content, values=False)
    assert [sheet.cell(row, 2).number_format for row in (5, 6, 7)] == ['# ?/2"″"', '0"″"', '??/16"″"']


def test_headings_of_numbers_stand_over_the_numbers() -> None:
    content, _ = write(LINES)
    sheet = read(content, values=False)
    assert [sheet.cell(4, column).alignment.horizontal for column in (1, 2, 5)] == ["left", "right", "right"]


def test_the_table_says_where_it_landed() -> None:
    _, table = write(LINES, row=10, first_column=3)
    assert table.cell("item", 0) == Place(sheet="Bill", row=11, column=3)
    assert table.column("amount").full_ref == "'Bill'!$G$11:$G$13"
    assert table.total("amount").ref == "G14"
    assert table.next_row == 15
    with pytest.raises(ValueError, match="no line 3"):
        table.cell("item", 3)


def test_a_table_without_lines_has_a_total_of_nothing() -> None:
    content, table = write(())
    assert read(content, values=True)[table.total("amount").ref].value == 0
    assert table.next_row == 6


def test_a_table_without_sums_has_no_row_for_them() -> None:
    sheet = Book().add_sheet("Bill")
    table = write_table(sheet, COLUMNS[:2], LINES, row=1)
    assert table.next_row == 5
    with pytest.raises(ValueError, match="no totals"):
        table.total("item")


def test_columns_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="same name"):
        write_table(Book().add_sheet("Bill"), (COLUMNS[0], COLUMNS[0]), LINES, row=1)


def test_a_formula_without_a_value_is_refused() -> None:
    column = Column[Line](
        name="x",
        heading="X",
        width=9,
        style=TEXT,
        value=lambda line: line.priced_on,
        formula=lambda _, at: f"={at['x']}",
    )
    with pytest.raises(ValueError, match="has no value"):
        write_table(Book().add_sheet("Bill"), (column,), LINES[1:], row=1)


def test_text_has_no_total() -> None:
    column = Column[Line](name="x", heading="X", width=9, style=TEXT, value=lambda line: line.item, total=TEXT)
    with pytest.raises(TypeError, match="no number"):
        write_table(Book().add_sheet("Bill"), (column,), LINES, row=1)


def test_a_line_whose_formula_is_none_is_a_plain_value() -> None:
    column = Column[Line](
        name="amount",
        heading="Amount",
        width=9,
        style=DOLLARS,
        value=lambda line: line.amount,
        formula=lambda line, at: f"={at['amount']}" if line.quantity > 4 else None,
    )
    sheet = Book().add_sheet("Bill")
    write_table(sheet, (column,), LINES, row=1)
    assert list(sheet.formula_values) == ["A3"]


def test_spreadsheet_programs_find_the_same_amounts(
    tmp_path: Path, assert_recalculates: Callable[[Path], None]
) -> None:
    path = tmp_path / "bill.xlsx"
    prices = ("1.005", "2.675", "0.015", "231.495", "19.995", "8.345", "0.285")  # halves that floats get wrong
    lines = tuple(
        Line(item="Slat", length_in=Fraction(1), quantity=quantity, price=Decimal(price))
        for price in prices
        for quantity in (1, 3, 7)
    )
    path.write_bytes(write(lines)[0])
    assert_recalculates(path)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 999), st.decimals(0, 9999, places=3)), max_size=12))
def test_the_total_is_the_sum_of_the_amounts(numbers: list[tuple[int, Decimal]]) -> None:
    lines = tuple(
        Line(item="Slat", length_in=Fraction(1), quantity=quantity, price=price) for quantity, price in numbers
    )
    content, table = write(lines)
    sheet = read(content, values=True)
    cents = sum(round(100 * sheet[table.cell("amount", index).ref].value) for index in range(len(lines)))
    assert round(100 * sheet[table.total("amount").ref].value) == cents
