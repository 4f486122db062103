"""The rows of a supplier's list brought into our own columns through its map, each checked like a hand-kept row.

Every price becomes one that our table can hold: without tax, less the discount, per what the table is priced by. It is
worked out exactly, and written so where it ends within six places, else rounded half up to six.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from estimator.errors import Findings, Origin
from estimator.keeping.headings import fillers, mapped_headings
from estimator.keeping.repriced import repriced
from estimator.keeping.sheets import Sheet
from estimator.keeping.supplier_map import PRICED_PER, SupplierMap, headings_in
from estimator.keeping.written_numbers import PRICE_PLACES, parse_price, point_text, price_text
from estimator.money import Currency
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import Column
from estimator.reading.sold import SOLD, TAKEN_FROM, SoldPrice, read_sold

MOST_FAULTS = 200  # that are told one by one; a wrong map makes one of every row
LONGEST_TEXT = 32_767  # signs that a cell of a workbook may hold; from memory
_WITH_NUMBERS = ("section", "length", "price", "pack", "container", PRICED_PER)
_ERRORS = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NULL!", "#NUM!", "#NV", "#WERT!", "#BEZUG!"}
# What a spreadsheet program may take for a formula at the start of a text: OWASP, "CSV Injection".
_FORMULA_SIGNS = ("=", "+", "-", "@")
_CONTROL_SIGNS = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, kw_only=True, slots=True)
class MappedRow:
    """A row as our table holds it, its cells in the order of `taken_columns`, and the same checked."""

    cells: tuple[str, ...]
    sold: SoldPrice


@dataclass(slots=True)
class Tally:
    """Counts what happened to rows, so that it is said once for all of them."""

    lines: dict[str, list[int]] = field(default_factory=dict)

    def add(self, what: str, line: int | None) -> None:
        """Count one row."""
        count = self.lines.setdefault(what, [0, line or 0])
        count[0] += 1

    def tell(self, origin: Origin, findings: Findings) -> None:
        """Say each thing with the number of its rows and the line of the first."""
        for what, (count, line) in self.lines.items():
            rows = f"line {line}" if count == 1 else f"{count:,} rows, the first on line {line}"
            findings.notice(origin, f"{what} ({rows})")


def taken_columns(table: str) -> tuple[Column, ...]:
    """Return the columns of a table that is taken over."""
    return (*SOLD[table], TAKEN_FROM)


def mapped_rows(
    sheet: Sheet, map_: SupplierMap, findings: Findings, *, day: date, unit: str, currency: Currency
) -> Iterator[MappedRow]:
    """Yield the rows of a list in our columns; rows with faults are left out, and the faults go to `findings`.

    `day` is that of rows without a date, `unit` what a bare length means, `currency` what the supplier's prices are in.
    """
    found = mapped_headings(sheet, map_, findings)
    if found is None:
        return
    mapper = _Mapper(
        map_=map_,
        day=day,
        unit=unit,
        currency=currency,
        decimal_comma=sheet.decimal_comma,
        net_share=_net_share(map_),
    )
    fill = fillers(found, map_)
    skipped = _skip_pattern(map_.skip)
    untold = 0
    for line, cells in found.rows:
        why = _passed_over(cells, found.headings, skipped)
        if why:
            mapper.tally.add(why, line)
            continue
        row = Findings()
        place = Origin(file=sheet.origin.file, line=line)
        mapped = mapper.mapped({name: take(cells) for name, take in fill.items()}, place, row)
        if len(findings.faults) < MOST_FAULTS:
            findings.faults += row.faults
        else:
            untold += len(row.faults)
        if not row.faults:
            yield mapped
    if untold:
        findings.fault(sheet.origin, f"has {untold:,} more faults; mend these first, in the list or in its map")
    mapper.tally.tell(sheet.origin, findings)


def _skip_pattern(words: Sequence[str]) -> re.Pattern[str] | None:
    if not words:
        return None
    return re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in words), re.IGNORECASE)


def _passed_over(cells: Sequence[str], headings: Sequence[str], skipped: re.Pattern[str] | None) -> str:
    """Return why a row is no row of goods, or nothing."""
    if skipped and any(map(skipped.search, cells)):
        return "rows with a word that the map skips are passed over"
    if sum(map(bool, cells)) == 1:
        return "rows with one filled cell, such as titles, are passed over"
    if list(cells) == list(headings):
        return "headings that stand there again are passed over"
    return ""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Mapper:
    """What every row of a list is mapped by."""

    map_: SupplierMap
    day: date
    unit: str
    currency: Currency
    decimal_comma: bool
    net_share: Fraction
    tally: Tally = field(default_factory=Tally)

    def mapped(self, theirs: Mapping[str, str], origin: Origin, findings: Findings) -> MappedRow:
        """Return a row in our columns; its faults go to `findings` under the headings of the list."""
        table, faults = self.map_.table, Findings()
        row = Fields(texts=self._texts(theirs, origin, faults), origin=origin, findings=faults)
        change = repriced(table, row, lambda what: self.tally.add(what, origin.line))
        times = change.times * self.net_share
        price = row.read("price", self._price, Fraction(1))
        cells = {
            **row.texts,
            **change.cells,
            "price": self._price_text(price if times == 1 else price * times, origin),
            "supplier": self.map_.supplier,
            "date": row.texts.get("date", "") or (self.map_.day or self.day).isoformat(),
        }
        checked = Findings()
        sold = read_sold(table, Fields(texts=cells, origin=origin, findings=checked), self.unit, self.currency)
        first = {fault.column: fault for fault in reversed((*faults.faults, *checked.faults))}
        for column, fault in reversed(first.items()):  # what follows from the first is not told again
            findings.fault(origin, fault.message, self._shown(column))
        cells |= {"date": sold.day.isoformat(), TAKEN_FROM.name: str(origin)}
        return MappedRow(cells=tuple(cells.get(one.name, "") for one in taken_columns(table)), sold=sold)

    def _texts(self, theirs: Mapping[str, str], origin: Origin, findings: Findings) -> dict[str, str]:
        """Return the texts of a row in one form: their words for units in ours, decimals with a point."""
        texts = {name: _clean(text) for name, text in {**self.map_.values, **theirs}.items()}
        if "section" in texts:  # `52 x mm`, put together without a width, comes in random widths
            texts["section"] = re.sub(r" ?x(?= ?(?:mm|in)?$)", "", texts["section"])
        raw = Fields(texts=texts, origin=origin, findings=findings)
        for name, text in texts.items():
            if text.upper() in _ERRORS:
                raw.fault(name, f'"{text}" is an error in the workbook it comes from; ask for a list without it')
            elif name in _WITH_NUMBERS and name in theirs:
                texts[name] = raw.read(name, self._with_points, "", blank="")
            elif text.startswith(_FORMULA_SIGNS):
                self.tally.add("texts that a spreadsheet could take for a formula get a ' in front", origin.line)
                texts[name] = f"'{text}"
            if len(text) > LONGEST_TEXT:
                raw.fault(name, f"has {len(text):,} signs; shorten it to {LONGEST_TEXT:,}")
        per = texts.get(PRICED_PER, "")
        return {**texts, PRICED_PER: self.map_.units.get(name_key(per), per)} if per else texts

    def _with_points(self, text: str) -> str:
        return point_text(text, decimal_comma=self.decimal_comma, declared=self.map_.decimal is not None)

    def _price(self, text: str) -> Fraction:
        return parse_price(text, self.currency)

    def _price_text(self, price: Fraction, origin: Origin) -> str:
        text, exact = price_text(price, self.currency)
        if not exact:
            self.tally.add(f"prices that take more than {PRICE_PLACES} places are rounded half up", origin.line)
        return text

    def _shown(self, column: str) -> str:
        """Return the heading in the list that a column of ours is filled from, or its own name."""
        text = self.map_.columns.get(column, column)
        return text if headings_in(text) == (text,) else column


def _net_share(map_: SupplierMap) -> Fraction:
    """Return what a price of 1 comes to once tax and discount are off."""
    without_tax = 1 / (1 + Fraction(map_.tax_included_percent) / 100)
    return without_tax * (1 - Fraction(map_.discount_percent) / 100)


def _clean(text: str) -> str:
    """Return a text on one line, without signs that no workbook can hold."""
    return text if text.isprintable() and "  " not in text else " ".join(_CONTROL_SIGNS.sub(" ", text).split())
