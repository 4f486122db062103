"""A workbook being written: text that stays text, numbers, and formulas together with their values."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import isfinite

from openpyxl import Workbook
from openpyxl.cell.cell import ERROR_CODES, Cell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from estimator.workbook.letters import number_digits, wrapped_lines
from estimator.workbook.places import Area, Place, safe_title
from estimator.workbook.styles import FONT, Style, named_style

Number = Decimal | Fraction | int | float
FormulaValue = Number | str | date

# Functions that Excel, LibreOffice 7 and Gnumeric all know without a prefix; CEILING.MATH, IFS, XLOOKUP and the like
# end as #NAME? in one of them.
FUNCTIONS = frozenset({
    "ABS", "AND", "AVERAGE", "CEILING", "CHOOSE", "COUNT", "COUNTA", "COUNTIF", "FLOOR", "IF", "IFERROR", "INDEX",
    "INT", "MATCH", "MAX", "MIN", "MOD", "NOT", "OR", "ROUND", "ROUNDDOWN", "ROUNDUP", "SUM", "SUMIF", "SUMIFS",
    "SUMPRODUCT",
})  # fmt: skip
LONGEST_TEXT = 32_767  # UTF-16 units in a cell, Excel's limit
ROW_HEIGHT_PT = 16.5
HIGHEST_ROW_PT = 409
_LINE_HEIGHT = 1.3  # times the size of the letters
_DEFAULT_WIDTH = 8.43  # of a column, in Excel
_STANDARD_SIZE_PT = 10

_NOT_XML = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# What OWASP names under CSV injection, with the full-width forms some input methods write.
_FORMULA_STARTS = tuple("=+-@\t\n\uff1d\uff0b\uff0d\uff20")
_QUOTED = re.compile("'(?:[^']|'')*'!|\"(?:[^\"]|\"\")*\"")
_FUNCTION_CALL = re.compile(r"([A-Z_][A-Z0-9_.]*)\(", re.IGNORECASE)


class Book:
    """A new workbook. Keeps sheet titles apart and turns each style into one named style of the file."""

    def __init__(self) -> None:
        self.workbook = Workbook()
        self.workbook.remove(self.workbook.worksheets[0])
        # Columns are as wide as so many digits of this font; with a font that a machine lacks they come out wider.
        normal = self.workbook._named_styles["Normal"]  # type: ignore[attr-defined]  # noqa: SLF001  # no other way to it
        normal.font = Font(name=FONT, size=_STANDARD_SIZE_PT)
        self.sheets: list[Sheet] = []
        self._styles: dict[str, Style] = {}

    def add_sheet(self, title: str) -> "Sheet":
        """Append an empty sheet; its title may differ from the wish where that is too long, taken or not allowed."""
        title = safe_title(title, [sheet.title for sheet in self.sheets])
        sheet = Sheet(self, self.workbook.create_sheet(title))
        self.sheets.append(sheet)
        return sheet

    def style_name(self, style: Style) -> str:
        """Return the name of the style in the file, where it is entered when first met."""
        known = self._styles.get(style.name)
        if known is None:
            self._styles[style.name] = style
            self.workbook.add_named_style(named_style(style))
        elif known != style:
            raise ValueError(f"two styles are called {style.name}")
        return style.name


class Sheet:
    """One sheet being written. Keeps the value of every formula and lets no cell be written twice.

    Rows and columns count from 1.
    """

    def __init__(self, book: Book, worksheet: Worksheet) -> None:
        self.book = book
        self.worksheet = worksheet
        worksheet.sheet_format.defaultRowHeight = ROW_HEIGHT_PT
        worksheet.sheet_format.customHeight = True
        self.formula_values: dict[str, FormulaValue] = {}

    @property
    def title(self) -> str:
        """The title as it stands on the tab."""
        return self.worksheet.title

    def place(self, row: int, column: int) -> Place:
        """Return the cell as formulas refer to it."""
        return Place(sheet=self.title, row=row, column=column)

    def put_text(self, row: int, column: int, text: str, style: Style) -> Place:
        """Write text that no spreadsheet program takes for a formula, whatever it begins with.

        Give columns their widths before: the row is made high enough for wrapped text.
        """
        return self._put_text(row, column, column, text, style)

    def put_text_across(self, row: int, first_column: int, last_column: int, text: str, style: Style) -> Place:
        """Write text over several columns, joined."""
        self.merge(row, first_column, last_column, style)
        return self._put_text(row, first_column, last_column, text, style)

    def put_number(self, row: int, column: int, value: Number, style: Style) -> Place:
        """Write a number; an exact fraction becomes the nearest number a spreadsheet holds."""
        cell = self._free_cell(row, column)
        cell.value = _spreadsheet_number(value)
        cell.style = self.book.style_name(style)
        self._fit(column, value, style)
        return self.place(row, column)

    def put_date(self, row: int, column: int, day: date, style: Style) -> Place:
        """Write a day as a date one can reckon with."""
        cell = self._free_cell(row, column)
        cell.value = day
        cell.style = self.book.style_name(style)
        return self.place(row, column)

    def put_formula(self, row: int, column: int, formula: str, value: FormulaValue, style: Style) -> Place:
        """Write a live formula together with the value the program computed for it.

        The formula is made of constants of the program and of references; a value from a file never goes into it.
        """
        _check_formula(formula)
        cell = self._free_cell(row, column)
        cell.value = formula
        cell.style = self.book.style_name(style)
        self.formula_values[cell.coordinate] = _checked_value(value)
        if not isinstance(value, str | date):
            self._fit(column, value, style)
        return self.place(row, column)

    def put_blank(self, row: int, column: int, style: Style) -> Place:
        """Give an empty cell its look."""
        self._free_cell(row, column).style = self.book.style_name(style)
        return self.place(row, column)

    def merge(self, row: int, first_column: int, last_column: int, style: Style) -> None:
        """Join empty cells of one row to be written to by the first; all get the style, for the sake of its borders.

        Joined before they have borders: the library would copy those from cell to cell, which takes far longer.
        """
        if last_column == first_column:
            return
        for column in range(first_column, last_column + 1):
            self._free_cell(row, column)
        area = Area(sheet=self.title, first_row=row, first_column=first_column, last_row=row, last_column=last_column)
        self.worksheet.merge_cells(area.ref)
        for column in range(first_column, last_column + 1):
            self.worksheet.cell(row, column).style = self.book.style_name(style)

    def widen(self, column: int, width: float) -> None:
        """Make a column at least so wide, in digits of the standard font: tables may share columns."""
        self.worksheet.column_dimensions[get_column_letter(column)].width = max(width, self._own_width(column))

    def set_height(self, row: int, height_pt: float) -> None:
        """Make a row so high, in points, as far as a row can be."""
        self.worksheet.row_dimensions[row].height = min(height_pt, HIGHEST_ROW_PT)

    def height_pt(self, first_row: int, last_row: int) -> float:
        """Return how high the rows from the first to the last are together, in points."""
        dimensions = self.worksheet.row_dimensions
        rows = range(first_row, last_row + 1)
        return sum((dimensions[row].height if row in dimensions else None) or ROW_HEIGHT_PT for row in rows)

    def _put_text(self, row: int, column: int, last_column: int, text: str, style: Style) -> Place:
        cell = self._free_cell(row, column)
        text = clean_text(text)
        cell.value = text
        cell.data_type = "s"  # the library has made a formula of "=..." and an error of "#REF!"
        cell.style = self.book.style_name(style)
        if text.startswith(_FORMULA_STARTS) or text in ERROR_CODES:
            cell.quotePrefix = True  # keeps it text when a reader edits the cell
        self._make_room(row, column, last_column, text, style)
        return self.place(row, column)

    def _free_cell(self, row: int, column: int) -> Cell:
        cell = self.worksheet.cell(row, column)
        if not isinstance(cell, Cell) or cell.value is not None:
            raise ValueError(f"{self.place(row, column).full_ref} is written twice")
        return cell

    def _make_room(self, row: int, column: int, last_column: int, text: str, style: Style) -> None:
        """Make the row high enough for a text: programs that open the file do not all do so themselves."""
        width = sum(self._own_width(number) or _DEFAULT_WIDTH for number in range(column, last_column + 1))
        standard_width = width * _STANDARD_SIZE_PT / style.size_pt
        lines = wrapped_lines(text, standard_width, bold=style.bold, indent=style.indent) if style.wrap else 1
        height_pt = 4 + lines * style.size_pt * _LINE_HEIGHT
        if height_pt > (self.worksheet.row_dimensions[row].height or 1.1 * ROW_HEIGHT_PT):
            self.set_height(row, height_pt)

    def _fit(self, column: int, value: Number, style: Style) -> None:
        """Make a column wide enough for a number, which would show as `###` where it is not."""
        needed = number_digits(float(value), style.number_format, bold=style.bold)
        if needed > self._own_width(column):
            self.widen(column, needed)

    def _own_width(self, column: int) -> float:
        """Return the width set for a column, 0 where none was set."""
        dimensions, letter = self.worksheet.column_dimensions, get_column_letter(column)
        return float(dimensions[letter].width) if letter in dimensions else 0


def clean_text(text: str) -> str:
    """Return the text as a cell can hold it: characters of XML 1.0, plain line ends, not longer than a cell may be."""
    text = _NOT_XML.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    units = text.encode("utf-16-le")
    if len(units) <= 2 * LONGEST_TEXT:
        return text
    return units[: 2 * (LONGEST_TEXT - 1)].decode("utf-16-le", errors="ignore") + "…"


def _spreadsheet_number(value: Number) -> Decimal | int | float:
    if not isfinite(value):
        raise ValueError(f"{value} is no number for a cell")
    return float(value) if isinstance(value, Fraction) else value


def _checked_value(value: FormulaValue) -> FormulaValue:
    if isinstance(value, str):
        return clean_text(value)
    return value if isinstance(value, date) else _spreadsheet_number(value)


def _check_formula(formula: str) -> None:
    """Refuse what one of our formulas never holds: links to other files, DDE, functions not every program knows."""
    bare = _QUOTED.sub("", formula)
    if not bare.startswith("=") or _NOT_XML.search(formula):
        raise ValueError(f"{formula} is no formula")
    if set(bare) & set("[]|{}@#'\""):
        raise ValueError(f"{formula} reaches outside the workbook or uses what not every program reads")
    unknown = {name.upper() for name in _FUNCTION_CALL.findall(bare)} - FUNCTIONS
    if unknown:
        raise ValueError(f"{formula} uses {', '.join(sorted(unknown))}, which not every spreadsheet program knows")
