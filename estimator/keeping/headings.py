"""Where a list's headings stand: titles and addresses come first in many, and some have blank rows in between."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from estimator.errors import Findings, Origin
from estimator.keeping.map_remedies import shown
from estimator.keeping.sheets import Sheet
from estimator.keeping.supplier_map import SupplierMap, headings_in
from estimator.keeping.workbooks import Rows
from estimator.reading.fields import name_key, nearest

LOOKED_THROUGH = 100  # rows among which the headings must be
MOST_SHOWN = 12  # headings that a message names


@dataclass(frozen=True, kw_only=True, slots=True)
class HeadedRows:
    """A list's headings with their place, and the rows below them."""

    origin: Origin
    headings: Sequence[str]
    rows: Rows

    def place_of(self, heading: str) -> int:
        """Return the column of a heading, counted from 0. Raises ValueError where there is none."""
        return [name_key(one) for one in self.headings].index(name_key(heading))


def headed_rows(sheet: Sheet, score: Callable[[Sequence[str]], int], row: int | None = None) -> HeadedRows | None:
    """Return a list below its headings: those of a row, or of the row near the top that scores most; else None."""
    first = list(islice(_up_to(sheet.rows, row), LOOKED_THROUGH if row is None else None))
    scores = [score(cells) if row is None else int(line == row) for line, cells in first]
    if not any(scores):
        return None
    place = scores.index(max(scores))
    line, headings = first[place]
    return HeadedRows(
        origin=Origin(file=sheet.origin.file, line=line),
        headings=headings,
        rows=chain(first[place + 1 :], sheet.rows),
    )


def _up_to(rows: Rows, line: int | None) -> Iterator[tuple[int, list[str]]]:
    """Yield rows, the last of them the one of a line, so that none below it is kept in memory."""
    for row in rows:
        yield row
        if line is not None and row[0] >= line:
            return


def mapped_headings(sheet: Sheet, map_: SupplierMap, findings: Findings) -> HeadedRows | None:
    """Return a list below the headings that its map names, or None with faults where one is not there."""
    wanted = {name_key(heading) for text in map_.columns.values() for heading in headings_in(text)}
    faults_before = len(findings.faults)
    found = headed_rows(sheet, lambda cells: len(wanted & set(map(name_key, cells))), map_.heading_row)
    if found is None and len(findings.faults) == faults_before:
        where = f"row {map_.heading_row}" if map_.heading_row else f"its first {LOOKED_THROUGH} rows"
        message = f"{sheet.origin} has none of these headings in {where}; write its headings here, or heading_row above"
        findings.fault(map_.origin, message, "columns")
    if found is not None:
        _check(found, map_, findings)
    return found if len(findings.faults) == faults_before else None


def _check(found: HeadedRows, map_: SupplierMap, findings: Findings) -> None:
    """Note headings of the map that the list lacks or has twice."""
    keys = [name_key(one) for one in found.headings]
    for name, text in map_.columns.items():
        for heading in headings_in(text):
            count = keys.count(name_key(heading))
            if count > 1:
                message = f'{found.origin} heads {count} columns "{heading}"; rename all but one in the list'
                findings.fault(map_.at(name), message, name)
            if count == 0:
                there = [one for one in found.headings if one]
                known = nearest(heading, there) or f"; it has {', '.join(there[:MOST_SHOWN])}"
                findings.fault(map_.at(name), f'{found.origin} has no column "{heading}"{known}', name)


def fillers(found: HeadedRows, map_: SupplierMap) -> Mapping[str, Callable[[Sequence[str]], str]]:
    """Return for each column of ours what takes its text from a row of theirs."""
    return {name: _filler(text, found) for name, text in map_.columns.items()}


def _filler(text: str, found: HeadedRows) -> Callable[[Sequence[str]], str]:
    if headings_in(text) == (text,):
        place = found.place_of(text)
        return lambda cells: cells[place] if place < len(cells) else ""
    pieces = text.replace("{", "}").split("}")  # texts and headings by turns
    literals, places = pieces[::2], [found.place_of(heading) for heading in pieces[1::2]]

    def joined(cells: Sequence[str]) -> str:
        filled = [cells[place] if place < len(cells) else "" for place in places]
        return "".join(chain.from_iterable(zip(literals, [*filled, ""], strict=True))) if any(filled) else ""

    return joined


def check_shifted(
    cells: Sequence[str], found: HeadedRows, sheet: Sheet, map_: SupplierMap, origin: Origin, findings: Findings
) -> None:
    """Note a filled cell behind the last heading, and a price split in two: 14,20 in two cells would pass for 14."""
    comma = 'quote numbers with a decimal comma, like "14,20"'
    stray = next(filter(None, cells[len(found.headings) :]), "")
    if stray:
        first = f"{comma}, ask for semicolons" if sheet.split_by == "," else "ask for a list without it"
        remedy = f"{first}, or write a heading above it in row {found.origin.line}"
        findings.fault(origin, f'"{shown(stray)}" stands under no heading; {remedy}')
    elif sheet.split_by == "," and _is_wider(found, sheet, origin) and (price := _split_price(cells, found, map_)):
        wider = f'has more cells than row {found.origin.line}, as if "{price}" were one number'
        findings.fault(origin, f"{wider}; {comma}, or ask for semicolons")


def _is_wider(found: HeadedRows, sheet: Sheet, origin: Origin) -> bool:
    return sheet.widths.get(origin.line or 0, 0) > sheet.widths.get(found.origin.line or 0, 0)


def _split_price(cells: Sequence[str], found: HeadedRows, map_: SupplierMap) -> str:
    """Return a price and the cell behind it where they may be one number with a decimal comma, else nothing."""
    places = map(found.place_of, headings_in(map_.columns.get("price", "")))
    both = next((",".join(cells[place : place + 2]) for place in places), "")
    return both if re.fullmatch(r"\d+,\d{1,2}", both) else ""
