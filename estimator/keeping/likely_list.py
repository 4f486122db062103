"""Where in a file a supplier's list stands, and which of our tables it seems to be one of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice

from estimator.errors import Findings
from estimator.keeping.carried_columns import Carried, carried_in
from estimator.keeping.heading_matches import Match, matches_of
from estimator.keeping.headings import HeadedRows, headed_rows
from estimator.keeping.pack_units import container_text
from estimator.keeping.price_units import reads
from estimator.keeping.sheets import open_sheet, sheet_names
from estimator.keeping.supplier_map import needed_columns
from estimator.keeping.vocabulary import HEADINGS, TELLING, known_words, priced_per, words_of
from estimator.reading.finish_products import parse_cans
from estimator.standards.sections import parse_section

SAMPLE = 1_000  # rows that are looked at for units and decimals
BOARD_MEASURES = ("bf", "MBF", "ft")  # in the heading of a price they decide for lumber
DECIDED = 2  # by how much a table must suit better than the next; common sense, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class LikelyList:
    """A list as one of a table of ours.

    `sheets` are those of a workbook, that of the list first, none where there is one. `others` are tables that the
    headings speak for as well.
    """

    file_name: str
    sheets: tuple[str, ...]
    table: str
    found: HeadedRows
    matches: Mapping[str, Match]
    sample: Sequence[Sequence[str]]
    carried: Carried
    others: tuple[str, ...] = ()

    def values(self, heading: str) -> list[str]:
        """Return what stands under a heading in rows of several cells, each text once, in its order."""
        return _values(self.found, self.sample, heading)


def likely_list(content: bytes, file_name: str, findings: Findings) -> LikelyList | None:
    """Return a list as one of the table that suits it best; None, with a fault, where no row looks like headings."""
    names = sheet_names(content)
    name = _sheet_with_list(content, file_name, names)
    sheet = open_sheet(content, file_name, findings, sheet=name)
    found = headed_rows(sheet, _known_headings) if sheet else None
    if sheet and found is None and not findings.faults:
        remedy = "write the map by hand as README.md shows it, with heading_row"
        findings.fault(sheet.origin, f"has no row of headings that this program knows near its top; {remedy}")
    sample = [cells for _, cells in islice(found.rows, SAMPLE)] if found else []
    if found is None or findings.faults:  # a quotation mark that is never closed, say
        return None
    sheets = (name, *(one for one in names if one != name)) if name else ()
    likely = [_as_one_of(table, file_name, sheets, found, sample) for table in HEADINGS]
    best, *others = sorted(likely, key=_fit, reverse=True)
    return replace(best, others=tuple(one.table for one in others if _fit(best)[0] - _fit(one)[0] < DECIDED))


def _as_one_of(
    table: str, file_name: str, sheets: tuple[str, ...], found: HeadedRows, sample: Sequence[Sequence[str]]
) -> LikelyList:
    matches = matches_of(table, found.headings, lambda heading: _values(found, sample, heading))
    places = {name: found.place_of(match.heading) for name, match in matches.items()}
    return LikelyList(
        file_name=file_name,
        sheets=sheets,
        table=table,
        found=found,
        matches=matches,
        sample=sample,
        carried=carried_in(sample, table, places),
    )


def _known_headings(cells: Sequence[str]) -> int:
    return sum(words_of(cell) in _all_words() for cell in cells)


@cache
def _all_words() -> frozenset[str]:
    return frozenset(word for table in HEADINGS for column in HEADINGS[table] for word in known_words(table, column))


def _sheet_with_list(content: bytes, file_name: str, names: Sequence[str]) -> str:
    """Return the first sheet with a row of headings, more than one of them if there is such; blank for the only one."""
    if len(names) < 2:
        return ""
    known: dict[str, int] = {}
    for name in names:
        sheet = open_sheet(content, file_name, Findings(), sheet=name)
        found = headed_rows(sheet, _known_headings) if sheet else None
        known[name] = _known_headings(found.headings) if found else 0
        if known[name] > 1:
            return name
    return next((name for name, count in known.items() if count), names[0])


def _values(found: HeadedRows, sample: Sequence[Sequence[str]], heading: str) -> list[str]:
    """Return what stands under a heading in rows of several cells, each text once, in its order."""
    place = found.place_of(heading)
    rows = (row for row in sample if sum(map(bool, row)) > 1 or len(found.headings) == 1)
    return list(dict.fromkeys(row[place] for row in rows if place < len(row) and row[place]))


def _fit(likely: LikelyList) -> tuple[int, int]:
    """Return how well a table suits: by the columns that are filled, most by those that tell it from others.

    Of two that suit alike, the one of which fewer columns are left to fill by hand.
    """
    matches = likely.matches
    if likely.table == "finishes":
        by_content = matches.get("container") or matches.get("per")
        cans = likely.values(by_content.heading) if by_content else []
        if not any(reads(lambda text: parse_cans(container_text(text)), one) for one in cans):
            return 0, 0
    sections = likely.values(matches["section"].heading) if "section" in matches else []
    of_boards = bool(sections) and all(reads(parse_section, one) for one in sections)
    price = matches["price"].heading if "price" in matches else ""
    by_measure = likely.table == "lumber" and priced_per(price, "lumber") in BOARD_MEASURES
    told = sum(name in matches for name in TELLING[likely.table])
    missing = sum(name not in matches for name in needed_columns(likely.table))
    return len(matches) + 2 * told + 2 * of_boards + 4 * by_measure, -missing
