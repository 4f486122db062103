"""From a written workbook to the bytes of its file: values beside formulas, the same bytes every time."""

import re
import zipfile
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from io import BytesIO
from xml.sax.saxutils import escape

from estimator.workbook.cells import Book, FormulaValue, clean_text

# A formula as the library writes it: with an empty value. Text cannot look like this, since `<` is escaped there.
_FORMULA_CELL = re.compile(r'<c r="([A-Z]+[0-9]+)"([^>]*)><f>([^<]*)</f><v ?/></c>')
_MODIFIED = re.compile(r"(<dcterms:modified[^>]*>)[^<]*(?=</dcterms:modified>)")
_DAY_ZERO = date(1899, 12, 30)  # of spreadsheets, for days after February 1900
_OLDEST_ZIP_TIME = (1980, 1, 1, 0, 0, 0)


def workbook_bytes(book: Book, *, on: date, title: str) -> bytes:
    """Return the workbook as the bytes of an .xlsx file, dated as said: the same workbook gives the same bytes.

    Dates, file times and modes inside are fixed. Only another version of the spreadsheet or compression library may
    pack the same contents differently.
    """
    moment = datetime.combine(on, time(0), tzinfo=UTC)
    properties = book.workbook.properties
    properties.creator, properties.title = "estimator", clean_text(title)
    properties.created = moment.replace(tzinfo=None)
    raw = BytesIO()
    book.workbook.save(raw)
    # The library stores formulas without values and will not do otherwise, so they are entered here.
    values = {sheet.worksheet.path.lstrip("/"): sheet.formula_values for sheet in book.sheets}
    packed = BytesIO()
    with zipfile.ZipFile(raw) as old, zipfile.ZipFile(packed, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name in values:
                part = _with_values(part.decode(), values[name]).encode()
            elif name == "docProps/core.xml":
                part = _MODIFIED.sub(rf"\g<1>{moment:%Y-%m-%dT%H:%M:%SZ}", part.decode()).encode()
            new.writestr(_entry(name), part)
    return packed.getvalue()


def _with_values(sheet_xml: str, values: Mapping[str, FormulaValue]) -> str:
    """Return the sheet with each formula's value beside it."""
    found = []

    def filled(match: re.Match[str]) -> str:
        coordinate, attributes, formula = match.groups()
        found.append(coordinate)
        value = values[coordinate]
        kind = ' t="str"' if isinstance(value, str) else ""
        return f'<c r="{coordinate}"{attributes}{kind}><f>{formula}</f><v>{_value_text(value)}</v></c>'

    patched = _FORMULA_CELL.sub(filled, sheet_xml)
    if set(found) != set(values) or patched.count("<f>") != len(found):
        raise RuntimeError("the spreadsheet library writes formulas in a form this program does not know")
    return patched


def _value_text(value: FormulaValue) -> str:
    if isinstance(value, str):
        return escape(value)
    if isinstance(value, date):
        return str((value - _DAY_ZERO).days)
    return str(value) if isinstance(value, int) else repr(float(value))


def _entry(name: str) -> zipfile.ZipInfo:
    """Return an entry that says nothing about when and on which system it was packed."""
    entry = zipfile.ZipInfo(name, _OLDEST_ZIP_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o600 << 16
    entry.create_system = 3
    return entry
