"""A map proposed from the headings of a list: by known words, by nearest names, the rest as remarks to look over."""

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice
from pathlib import PurePath

from estimator.errors import Findings
from estimator.keeping.carried_columns import Carried, carried_in
from estimator.keeping.headings import HeadedRows, headed_rows
from estimator.keeping.pack_units import container_text
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import GROUP_MARK, needed_columns
from estimator.keeping.vocabulary import (
    HEADINGS,
    TELLING,
    known_words,
    our_unit,
    priced_per,
    unit_of,
    with_tax,
    words_of,
)
from estimator.reading.fields import name_key
from estimator.reading.finish_products import parse_cans
from estimator.reading.pack_amounts import parse_amount
from estimator.reading.trade_units import parse_per
from estimator.standards.sections import parse_section

SAMPLE = 1_000  # rows that are looked at for units and decimals
CLOSE = 0.8  # so like each other that one is a form of the other
NOMINAL_AT_MOST = 24  # a larger bare thickness or width is in millimetres; common sense, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class _Match:
    """Which of their headings fills a column of ours; `sure` where it is a known word and no near one."""

    heading: str
    sure: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class _Proposal:
    """What a map is proposed from."""

    file_name: str
    table: str
    found: HeadedRows
    matches: Mapping[str, _Match]
    sample: Sequence[Sequence[str]]
    carried: Carried

    def values(self, heading: str) -> list[str]:
        """Return what stands under a heading in rows of several cells, each text once, in its order."""
        place = self.found.place_of(heading)
        rows = (row for row in self.sample if sum(map(bool, row)) > 1 or len(self.found.headings) == 1)
        return list(dict.fromkeys(row[place] for row in rows if place < len(row) and row[place]))


def proposed_map(content: bytes, file_name: str, findings: Findings) -> str:
    """Return a map of a list as TOML; nothing, with a fault, where no row looks like headings."""
    sheet = open_sheet(content, file_name, findings)
    if sheet is None:
        return ""
    words = {word for table in HEADINGS for column in HEADINGS[table] for word in known_words(table, column)}
    found = headed_rows(sheet, lambda cells: sum(words_of(cell) in words for cell in cells))
    if found is None:
        if not findings.faults:
            remedy = "write the map by hand as README.md shows it, with heading_row"
            findings.fault(sheet.origin, f"has no row of headings that this program knows near its top; {remedy}")
        return ""
    sample = [cells for _, cells in islice(found.rows, SAMPLE)]
    proposals = [
        _Proposal(file_name=file_name, table=table, found=found, matches=matches, sample=sample, carried=carried)
        for table in HEADINGS
        for matches in (_matches(table, found.headings),)
        for carried in (carried_in(sample, table, _places(found, matches)),)
    ]
    return _text(max(proposals, key=_fit))


def _places(found: HeadedRows, matches: Mapping[str, _Match]) -> dict[str, int]:
    """Return where each column of ours stands in the list."""
    return {name: found.place_of(match.heading) for name, match in matches.items()}


def _fit(proposal: _Proposal) -> int:
    """Return how well a table suits: by the columns that are filled, most by those that tell it from others."""
    matches = proposal.matches
    if proposal.table == "finishes" and "container" in matches:
        cans = proposal.values(matches["container"].heading)
        if not any(_reads(lambda text: parse_cans(container_text(text)), one) for one in cans):
            return 0
    sections = proposal.values(matches["section"].heading) if "section" in matches else []
    of_boards = bool(sections) and all(_reads(parse_section, one) for one in sections)
    return len(matches) + 2 * sum(name in matches for name in TELLING[proposal.table]) + 2 * of_boards


def _matches(table: str, headings: Sequence[str]) -> dict[str, _Match]:
    """Return what fills each column of ours: known words first, then near ones, each heading once."""
    keys = [name_key(one) for one in headings]
    left = {one: words_of(one) for one in headings if one and keys.count(name_key(one)) == 1}
    found: dict[str, _Match] = {}
    for near in (False, True):
        for column in HEADINGS[table]:
            heading = "" if column in found else _heading_for(known_words(table, column), left, near=near)
            if heading:
                found[column] = _Match(heading=heading, sure=not near)
                del left[heading]
    return found


def _heading_for(words: Iterable[str], headings: Mapping[str, str], *, near: bool) -> str:
    by_words = {key: heading for heading, key in reversed(list(headings.items()))}
    for word in words:
        likely = get_close_matches(word, by_words, n=1, cutoff=CLOSE) if near and len(word) > 3 else [word]
        if likely and likely[0] in by_words:
            return by_words[likely[0]]
    return ""


def _text(proposal: _Proposal) -> str:
    columns, values = _columns(proposal)
    used = {match.heading for match in proposal.matches.values()}
    unused = ", ".join(_quoted(one) for one in proposal.found.headings if one and one not in used)
    name = re.sub(r"[\W_]+", " ", PurePath(proposal.file_name).stem).strip() or "supplier"
    lines = [
        f"# Proposed from {_plain(str(proposal.found.origin))}, where the headings are. Look over what is marked ?.",
        f"supplier = {_quoted(name.title())}  # ? taken from the name of the file",
        f"table = {_quoted(proposal.table)}",
        *_decimal(proposal),
        *_tax(proposal),
        *_carried_down(proposal),
        "# discount_percent = 10        # your discount, where the list has prices before it",
        '# skip = ["Discontinued"]      # rows with one of these words are passed over',
        "# date = 2026-11-01            # of the list, where its rows have none; else the day of the file",
        "",
        "[columns]                      # our column = theirs, or a text with theirs in braces",
        *columns,
        *([f"# not used: {unused}"] if unused else []),
        "",
        "[values]                       # our column = one value for all rows",
        *values,
        "",
        "[units]                        # their word for what a price is per = ours",
        *_units(proposal),
        *_groups(proposal),
    ]
    return "\n".join(lines) + "\n"


def _columns(proposal: _Proposal) -> tuple[list[str], list[str]]:
    """Return the lines under [columns] and [values]."""
    columns, values = [], []
    needed = needed_columns(proposal.table)
    for column in (one for one in HEADINGS[proposal.table] if one not in ("thickness", "width")):
        text, remark = _filled(column, proposal)
        if text:
            columns.append(f"{column} = {_quoted(text)}" + (f"  # ? {remark}" if remark else ""))
        elif column == "per" and "price" in proposal.matches and priced_per(proposal.matches["price"].heading):
            per = priced_per(proposal.matches["price"].heading)
            values.append(f"per = {_quoted(per)}  # ? by the heading of the price")
        else:
            remark = "  # ? is needed, and no heading is like it" if column in needed else ""
            values.append(f'# {column} = ""' + ("  # see [groups]" if column in proposal.carried.columns else remark))
    return columns, values


def _filled(column: str, proposal: _Proposal) -> tuple[str, str]:
    """Return what fills a column of ours, and what to look at; both blank where no heading is like it."""
    matches = proposal.matches
    if column == "section" and column not in matches and "thickness" in matches:
        return _section(proposal)
    if column not in matches:
        return "", ""
    match = matches[column]
    remark = "" if match.sure else "the nearest name"
    if column != "length" or not any(
        value.replace(".", "").replace(",", "").isdecimal() for value in proposal.values(match.heading)
    ):
        return match.heading, remark
    unit = unit_of(match.heading)
    if unit:
        return f"{{{match.heading}}} {unit}", remark
    return match.heading, 'bare numbers are in the unit of your shop; else write "{' + _plain(match.heading) + '} ft"'


def _section(proposal: _Proposal) -> tuple[str, str]:
    """Return a section put together from thickness and width."""
    thickness, width = proposal.matches["thickness"].heading, proposal.matches.get("width")
    unit = unit_of(thickness)
    numbers = [float(one) for one in proposal.values(thickness) if re.fullmatch(r"\d+(\.\d+)?", one)]
    if not unit and numbers:
        unit = "mm" if max(numbers) > NOMINAL_AT_MOST else "in"
    sides = f"{{{thickness}}} x {{{width.heading}}}" if width else f"{{{thickness}}}"
    return f"{sides} {unit}".strip(), "put together; is the unit right?"


def _decimal(proposal: _Proposal) -> list[str]:
    """Return the line on decimals, where the prices show them."""
    prices = proposal.values(proposal.matches["price"].heading) if "price" in proposal.matches else []
    commas, points = (sum(bool(re.search(rf"\d\{mark}\d\d?(?!\d)", one)) for one in prices) for mark in ",.")
    return [f"decimal = {_quoted(',' if commas > points else '.')}"] if commas or points else []


def _tax(proposal: _Proposal) -> list[str]:
    heading = proposal.matches["price"].heading if "price" in proposal.matches else ""
    if with_tax(heading):
        return ["# tax_included_percent = 19    # ? the heading of the price says that tax is in it: how much?"]
    return ["# tax_included_percent = 19    # the tax that is in the prices, where they hold one"]


def _carried_down(proposal: _Proposal) -> list[str]:
    columns = ", ".join(map(_quoted, proposal.carried.columns))
    return [f"carried_down = [{columns}]  # ? written once, for the rows below too"] if columns else []


def _groups(proposal: _Proposal) -> list[str]:
    """Return a line for each row that stands alone above goods."""
    if not proposal.carried.groups:
        return []
    form = _quoted(f"{GROUP_MARK} ".join(proposal.carried.columns))
    return [
        "",
        f'[groups]                       # a row that stands alone = {form}, or "" where it means nothing',
        *(f"{_quoted(theirs)} = {_quoted(ours)}  # ?" for theirs, ours in proposal.carried.groups.items()),
    ]


def _units(proposal: _Proposal) -> list[str]:
    """Return a line for each word for a unit that does not mean the same to us as it stands."""
    match = proposal.matches.get("per")
    lines = []
    for word in proposal.values(match.heading) if match else ():
        ours = our_unit(word)
        if ours and name_key(ours) != name_key(word):
            lines.append(f"{_quoted(word)} = {_quoted(ours)}")
        elif not ours and not _is_known(word, proposal.table):
            lines.append(f'# {_quoted(word)} = ""  # ? not known')
    return lines


def _is_known(word: str, table: str) -> bool:
    return _reads(parse_per if table == "lumber" else parse_amount, word)


def _reads(parse: Callable[[str], object], text: str) -> bool:
    try:
        parse(text)
    except ValueError:
        return False
    return True


def _quoted(text: str) -> str:
    """Return a text as TOML writes it: JSON strings are TOML strings."""
    return json.dumps(_plain(text), ensure_ascii=False)


def _plain(text: str) -> str:
    """Return a text on one line, for headings are compared without their line breaks."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
