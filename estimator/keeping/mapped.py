"""The rows of a supplier's list brought into our own columns through its map, each checked like a hand-kept row.

Every price becomes one that our table can hold: without tax, less the discount, per what the table is priced by. It is
worked out exactly, and written so where it ends within six places, else rounded half up to six.
"""

import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from estimator.errors import Findings, Origin
from estimator.keeping.carried_down import CarriedDown
from estimator.keeping.formula_signs import could_be_formula
from estimator.keeping.headings import HeadedRows, check_shifted, fillers, mapped_headings
from estimator.keeping.map_remedies import all_blank, is_blank, shown, told_of_map
from estimator.keeping.repriced import repriced
from estimator.keeping.sheets import Sheet
from estimator.keeping.supplier_map import PRICED_PER, SupplierMap, headings_in
from estimator.keeping.unused_units import UnusedUnits
from estimator.keeping.workbooks import NOT_WORKED_OUT
from estimator.keeping.written_dates import date_text
from estimator.keeping.written_numbers import PRICE_PLACES, parse_price, point_text, price_text
from estimator.money import Currency, rounded
from estimator.reading.fields import HIGHEST_PRICE, Fields, name_key
from estimator.reading.list_changes import new_list
from estimator.reading.lists import Column
from estimator.reading.sold import RANDOM_LENGTH, SOLD, TAKEN_FROM, SoldPrice, read_sold

MOST_FAULTS = 200  # that are told one by one; a wrong map makes one of every row
LONGEST_TEXT = 32_767  # signs that a cell of a workbook may hold; from memory
SKIPPED = "rows with a word that the map skips are passed over"
GROUP = "rows that stand alone are taken for headings of the goods below them"
NOTHING_USED = "rows without anything that the map uses are passed over"
STANDS_ALONE = "rows with one filled cell, such as titles, are passed over"
_WITH_NUMBERS = ("section", "length", "price", "pack", "container", PRICED_PER)
_ERRORS = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NULL!", "#NUM!", "#NV", "#WERT!", "#BEZUG!"}
_RANDOM = re.compile(r"(?:random(?: lengths?)?|r/?l|r/?w/?l|rw&l)(?: (?:in|ft|mm|cm|m))?", re.IGNORECASE)
_CONTROL_SIGNS = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, kw_only=True, slots=True)
class MappedRow:
    """A row as our table holds it, its cells in the order of `taken_columns`, and the same checked.

    `has_own_day` says whether the list dates it.
    """

    cells: tuple[str, ...]
    sold: SoldPrice
    has_own_day: bool = False


@dataclass(slots=True)
class Tally:
    """Counts what happened to rows, so that it is said once for all of them."""

    lines: dict[str, list[int]] = field(default_factory=dict)  # how many rows, the first, the last

    def add(self, what: str, line: int | None) -> None:
        """Count one row, once for all of its cells."""
        count = self.lines.setdefault(what, [0, line or 0, -1])
        count[0] += count[-1] != line
        count[-1] = line or 0

    def tell(self, origin: Origin, findings: Findings) -> None:
        """Say each thing with the number of its rows and the line of the first."""
        for what, (count, line, _) in self.lines.items():
            rows = f"line {line}" if count == 1 else f"{count:,} rows, the first on line {line}"
            findings.notice(origin, f"{what} ({rows})")


def taken_columns(table: str) -> tuple[Column, ...]:
    """Return the columns of a table that is taken over."""
    return (*SOLD[table], TAKEN_FROM)


def table_of(rows: Iterable[MappedRow], table: str) -> bytes:
    """Return mapped rows as the file that our table is."""
    wanted = taken_columns(table)
    names = [column.name for column in wanted]
    return new_list(wanted, (dict(zip(names, row.cells, strict=True)) for row in rows))


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
    untold = 0
    unused = UnusedUnits(map_=map_, found=found)
    for goods in _goods(found, map_, mapper.tally, unused, sheet):
        mapped = mapper.mapped(goods)
        faults = goods.findings.faults[: 1 if goods.is_shifted else None]  # its other cells may be under wrong headings
        if len(findings.faults) < MOST_FAULTS:
            findings.faults += faults
        else:
            untold += len(faults)
        if not faults:
            yield mapped
    if untold:
        findings.fault(sheet.origin, f"has {untold:,} more faults; mend these first, in the list or in its map")
    unused.tell(findings)
    mapper.tally.tell(sheet.origin, findings)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Goods:
    """A row of goods by our columns: `theirs` as the list writes it, `ours` as the map does.

    `is_shifted` says that it has more cells than headings stand above it.
    """

    origin: Origin
    theirs: Mapping[str, str]
    ours: Mapping[str, str]
    findings: Findings
    is_shifted: bool


def _goods(found: HeadedRows, map_: SupplierMap, tally: Tally, unused: UnusedUnits, sheet: Sheet) -> Iterator[_Goods]:
    """Yield the rows of goods with what is carried down to them; all others are passed over, and counted."""
    fill, skipped, carried = fillers(found, map_), _skip_pattern(map_.skip), CarriedDown(map_=map_)
    used = {found.place_of(heading) for text in map_.columns.values() for heading in headings_in(text)}
    for line, all_cells in found.rows:
        cells = _without_unused_formulas(all_cells, used)
        origin, findings = Origin(file=found.origin.file, line=line), Findings()
        theirs = {name: take(cells) for name, take in fill.items()}
        why = _passed_over(cells, found.headings, skipped)
        if why == STANDS_ALONE and map_.carried_down:  # but a price alone is that of goods, all else carried down to it
            why = GROUP if not theirs.get("price") else ""
        if why == GROUP:
            carried.take_heading("".join(cells), origin)
        elif why == SKIPPED and sum(map(bool, cells)) > 1:
            carried.take_passed_over(theirs, origin)
        if why:
            tally.add(why, line)
            continue
        unused.take(all_cells)
        if sheet.split_by:
            check_shifted(all_cells, found, sheet, map_, origin, findings)
        is_shifted = bool(findings.faults)
        theirs, ours = carried.filled(theirs, origin, findings)
        yield _Goods(origin=origin, theirs=theirs, ours=ours, findings=findings, is_shifted=is_shifted)


def _without_unused_formulas(cells: Sequence[str], used: Container[int]) -> Sequence[str]:
    """Return a row in which a formula without its value is blank where the map has no use for it."""
    if NOT_WORKED_OUT not in cells:
        return cells
    return [text if text != NOT_WORKED_OUT or place in used else "" for place, text in enumerate(cells)]


def _skip_pattern(words: Sequence[str]) -> re.Pattern[str] | None:
    if not words:
        return None
    return re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in words), re.IGNORECASE)


def _passed_over(cells: Sequence[str], headings: Sequence[str], skipped: re.Pattern[str] | None) -> str:
    """Return why a row is no row of goods, or nothing."""
    if skipped and any(map(skipped.search, cells)):
        return SKIPPED
    if sum(map(bool, cells)) == 1:
        return STANDS_ALONE
    if not any(cells):
        return NOTHING_USED
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

    def mapped(self, goods: _Goods) -> MappedRow:
        """Return a row in our columns; its faults go to its findings under the headings of the list."""
        table, origin, faults = self.map_.table, goods.origin, Findings()
        row = Fields(texts=self._texts(goods, faults), origin=origin, findings=faults)
        change = repriced(table, row, lambda what: self.tally.add(what, origin.line))
        times = change.times * self.net_share
        price = row.read("price", lambda text: self._net_price(text, times), Fraction(1))
        cells = {
            **row.texts,
            **change.cells,
            "price": self._price_text(price, origin),
            "supplier": self.map_.supplier,
            "date": row.texts.get("date", "") or (self.map_.day or self.day).isoformat(),
        }
        checked = Findings()
        sold = read_sold(table, Fields(texts=cells, origin=origin, findings=checked), self.unit, self.currency)
        first = {fault.column: fault for fault in reversed((*faults.faults, *checked.faults))}
        told = set(self.map_.carried_down) if goods.findings.faults else set()
        blank = [column for column, fault in reversed(first.items()) if is_blank(fault.message) and column not in told]
        if len(blank) > 1 and blank[0] in self.map_.columns:  # a row of totals, say: once for all its blanks
            headings = ", ".join(map(self.map_.heading_of, blank))
            goods.findings.fault(origin, all_blank(blank, self.map_), headings)
            told |= set(blank)
        for column, fault in reversed(first.items()):  # what follows from the first is not told again
            if column not in told:
                text = row.texts.get(column, "") or goods.theirs.get(column, "")
                message = fault.message
                if column in goods.theirs:  # which is quoted as the list has it
                    text = shown(goods.theirs[column])
                    message = _quoting(message, text, (cells.get(column, ""), row.texts.get(column, "")))
                message = told_of_map(message, column, text, self.map_, self.unit)
                goods.findings.fault(origin, message, self.map_.heading_of(column))
        cells |= {"date": sold.day.isoformat(), TAKEN_FROM.name: str(origin)}
        ours = tuple(cells.get(one.name, "") for one in taken_columns(table))
        return MappedRow(cells=ours, sold=sold, has_own_day=bool(row.texts.get("date")))

    def _texts(self, goods: _Goods, findings: Findings) -> dict[str, str]:
        """Return the texts of a row in one form: their words for units in ours, decimals with a point."""
        origin, written = goods.origin, {**self.map_.values, **goods.ours, **goods.theirs}
        texts = {name: _clean(text) for name, text in written.items()}
        if "section" in texts:  # `52 x mm`, put together without a width, comes in random widths
            texts["section"] = re.sub(r" ?x(?= ?(?:mm|in)?$)", "", texts["section"])
        raw = Fields(texts=texts, origin=origin, findings=findings)
        if self.map_.table == "lumber" and _RANDOM.fullmatch(texts.get("length", "")):
            texts["length"] = RANDOM_LENGTH[0]
        for name, text in texts.items():
            if text.upper() in _ERRORS:
                raw.fault(name, f'"{text}" is an error in the workbook it comes from; ask for a list without it')
            elif NOT_WORKED_OUT in text:
                remedy = "open the workbook in your spreadsheet program, save it there and name that"
                raw.fault(name, f"is a formula that was saved without its value; {remedy}")
            elif name in _WITH_NUMBERS and name in goods.theirs:
                texts[name] = raw.read(name, self._with_points, "", blank="")
            elif could_be_formula(text):
                self.tally.add("texts that a spreadsheet could take for a formula get a ' in front", origin.line)
                texts[name] = f"'{text}"
            if len(text) > LONGEST_TEXT:
                raw.fault(name, f"has {len(text):,} signs; shorten it to {LONGEST_TEXT:,}")
        if texts.get("date"):
            texts["date"] = raw.read("date", lambda text: date_text(text, self.map_.date_order), "")
        per = texts.get(PRICED_PER, "")
        return {**texts, PRICED_PER: self.map_.units.get(name_key(per), per)} if per else texts

    def _with_points(self, text: str) -> str:
        return point_text(text, decimal_comma=self.decimal_comma, declared=self.map_.decimal is not None)

    def _net_price(self, text: str, times: Fraction) -> Fraction:
        """Return what a price comes to in our table. Raises ValueError where no table takes that."""
        price = parse_price(text, self.currency)
        net = price if times == 1 else price * times
        highest = HIGHEST_PRICE * 10 ** max(0, 2 - self.currency.digits)
        if net > highest or not rounded(net, PRICE_PLACES):
            limit = f"above {highest:,}" if net > highest else f"below {Decimal(1).scaleb(-PRICE_PLACES):f}"
            worked_out = "" if net == price else "comes to a price "
            raise ValueError(f'"{text}" {worked_out or "is "}{limit}, which no table takes; mend it')
        return net

    def _price_text(self, price: Fraction, origin: Origin) -> str:
        text, exact = price_text(price, self.currency)
        if not exact:
            self.tally.add(f"prices that take more than {PRICE_PLACES} places are rounded half up", origin.line)
        return text


def _net_share(map_: SupplierMap) -> Fraction:
    """Return what a price of 1 comes to once tax and discount are off."""
    without_tax = 1 / (1 + Fraction(map_.tax_included_percent) / 100)
    return without_tax * (1 - Fraction(map_.discount_percent) / 100)


def _quoting(message: str, text: str, worked_over: Iterable[str]) -> str:
    """Return a message that quotes the text of the list where it quotes what was made of it."""
    quoted = (f'"{shown(one)}"' for one in worked_over if one)
    found = next((one for one in quoted if message.startswith(one)), "")
    return f'"{text}"{message.removeprefix(found)}' if found else message


def _clean(text: str) -> str:
    """Return a text on one line, without signs that no workbook can hold."""
    return text if text.isprintable() and "  " not in text else " ".join(_CONTROL_SIGNS.sub(" ", text).split())
