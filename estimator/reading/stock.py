"""The boards and offcuts on hand, a row for those of one size, and the list as a file once they change."""

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, name_key
from estimator.reading.list_changes import changed_list, new_list
from estimator.reading.lists import columns, read_list
from estimator.reading.parts import Part
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.standards.sections import Section, parse_section
from estimator.units import length_text, parse_length

STOCK_COLUMNS = columns("species, section, length, quantity", "grade, value, place, note")
LEAST_BARE_LENGTH = 24  # a smaller bare number may well stand for feet or metres; common practice, no source
CLOSE = 0.85  # so like each other that one is a slip of the keyboard; red oak and white oak are 0.63


@dataclass(frozen=True, kw_only=True, slots=True)
class StockRow:
    """Boards or offcuts of one size on hand; a row that is in no list yet has no line."""

    origin: Origin
    species: str
    grade: str
    section: Section
    length_in: Fraction
    quantity: int
    value: Decimal | None  # of one piece
    place: str
    note: str

    @property
    def title(self) -> str:
        """What the wood is, as a buy sheet names it."""
        return " ".join(filter(None, [self.species, self.grade, self.section.text]))

    def is_of(self, *, species: str, grade: str, section: Section) -> bool:
        """Whether the wood is of one species, grade and section."""
        ours = name_key(self.species), name_key(self.grade), self.section.text
        return ours == (name_key(species), name_key(grade), section.text)


def read_stock(shop: Shop, lumber: Sequence[LumberPrice], findings: Findings) -> tuple[StockRow, ...]:
    """Return what is on hand, nothing where no list is kept; faults go to `findings`."""
    if not os.path.exists(shop.stock_path):  # noqa: PTH110 - Path raises where a name is too long for any file
        return ()
    judged = findings if shop.unit else Findings()  # without a unit a bare length is no fault of the list's
    return tuple(_stock_row(row, shop, lumber) for row in read_list(shop.stock_path, STOCK_COLUMNS, judged))


def check_stock(
    stock: Iterable[StockRow],
    parts: Sequence[Part],
    lumber: Sequence[LumberPrice],
    stock_value: str,
    findings: Findings,
) -> None:
    """Note a value that is missing where it counts for one of the parts, and a species that looks misspelt."""
    known = {name_key(one.species): one.species for one in lumber}
    known |= {name_key(one.species): one.species for one in parts}
    for row in stock:
        near = get_close_matches(name_key(row.species), known, n=1, cutoff=CLOSE)
        if near and near[0] != name_key(row.species):
            message = f'no part and no price is of "{row.species}" (did you mean "{known[near[0]]}"?)'
            findings.notice(row.origin, message)
        if stock_value == "set" and row.value is None and any(_may_give(row, part) for part in parts):
            remedy = 'write what one piece counts, or choose another stock_value than "set" in shop.toml'
            findings.fault(row.origin, f"is missing; {remedy}", "value")


def stock_list(raw: bytes | None, before: Iterable[StockRow], after: Iterable[StockRow], unit: str) -> bytes:
    """Return the list as a file after a change: only quantities change, rows that are gone go, new ones are added.

    `raw` is the file that `before` was read from, None where there is none yet.
    """
    left = {row.origin.line: row.quantity for row in after if row.origin.line is not None}
    added = [_cells(row, unit) for row in after if row.origin.line is None]
    if raw is None:
        return new_list(STOCK_COLUMNS, added)
    changes = {
        row.origin.line: {"quantity": str(left[row.origin.line])} if row.origin.line in left else None
        for row in before
        if row.origin.line is not None and left.get(row.origin.line) != row.quantity
    }
    return changed_list(raw, STOCK_COLUMNS, changes, added)


def _stock_row(row: Fields, shop: Shop, lumber: Sequence[LumberPrice]) -> StockRow:
    section = row.read("section", parse_section, parse_section("2x4"))
    if section.width_in is None:
        row.fault("section", f'"{section.text}" has no width; write that of the boards too, like 8/4x6 or 52 x 160 mm')
    species = row.text("species")
    return StockRow(
        origin=row.origin,
        species=species,
        grade=row.text("grade", blank="") or _only_grade(species, section, lumber),
        section=section,
        length_in=row.read("length", lambda text: _length(text, row, shop.unit), Fraction(LEAST_BARE_LENGTH)),
        quantity=row.count("quantity", low=0),
        value=row.money("value", currency=shop.currency, may_be_zero=True) if row.has("value") else None,
        place=row.text("place", blank=""),
        note=row.text("note", blank=""),
    )


def _only_grade(species: str, section: Section, lumber: Sequence[LumberPrice]) -> str:
    """Return the only grade a wood is sold in, for a row or a part that names none; blank where there are several."""
    wood = name_key(species), section.text
    grades = {name_key(row.grade): row.grade for row in lumber if (name_key(row.species), row.section.text) == wood}
    return next(iter(grades.values())) if len(grades) == 1 else ""


def _length(text: str, row: Fields, unit: str) -> Fraction:
    """Return a length; `8` may mean feet to whoever writes it, and an offcut may be so short."""
    length_in = parse_length(text, unit=unit, decimal_comma=row.decimal_comma)
    if text.isdigit() and int(text) < LEAST_BARE_LENGTH:
        meant = f"{text} {'ft' if unit == 'in' else 'm'} or {text} {unit}"
        raise ValueError(f'"{text}" would be {length_text(length_in, unit)}; write it with its unit, {meant}')
    return length_in


def _may_give(row: StockRow, part: Part) -> bool:
    return row.is_of(species=part.species, grade=part.grade or row.grade, section=part.section)


def _cells(row: StockRow, unit: str) -> dict[str, str]:
    return {
        "species": row.species,
        "section": row.section.text,
        "length": length_text(row.length_in, unit),
        "quantity": str(row.quantity),
        "grade": row.grade,
    }
