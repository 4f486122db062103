"""A map proposed from the headings of a list: by known words, by nearest names, the rest as remarks to look over."""

import json
import re
from collections.abc import Iterable
from pathlib import PurePath

from estimator.errors import Findings
from estimator.keeping.likely_list import LikelyList, likely_list
from estimator.keeping.price_units import is_unit, reads
from estimator.keeping.supplier_map import GROUP_MARK, needed_columns
from estimator.keeping.vocabulary import (
    HEADINGS,
    THOUSAND,
    known_words,
    our_unit,
    priced_per,
    unit_of,
    with_tax,
    words_of,
)
from estimator.keeping.written_dates import DAY_FIRST, MONTH_FIRST, is_unclear, order_of
from estimator.reading.fields import name_key
from estimator.reading.pack_amounts import parse_amount
from estimator.standards.sections import parse_section

NOMINAL_AT_MOST = 24  # a larger bare thickness or width is in millimetres; common sense, no source
BY_VOLUME = ("bf", "MBF", "m3", "ft3")  # what random lengths are sold by


def proposed_map(content: bytes, file_name: str, findings: Findings) -> str:
    """Return a map of a list as TOML; nothing, with a fault, where no row looks like headings."""
    likely = likely_list(content, file_name, findings)
    return _text(likely) if likely else ""


def _text(likely: LikelyList) -> str:
    columns, values = _columns(likely)
    used = {match.heading for match in likely.matches.values()}
    unused = _listed(one for one in likely.found.headings if one and one not in used)
    name = re.sub(r"[\W_]+", " ", PurePath(likely.file_name).stem).strip() or "supplier"
    lines = [
        f"# Proposed from {_plain(str(likely.found.origin))}, where the headings are. Look over what is marked ?.",
        f"supplier = {_quoted(name.title())}  # ? taken from the name of the file",
        f"table = {_quoted(likely.table)}"
        + (f"  # ? or {_listed(likely.others)}: the headings leave it open" if likely.others else ""),
        *_sheet(likely),
        *_date_order(likely),
        *_decimal(likely),
        *_tax(likely),
        *_carried_down(likely),
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
        *_units(likely),
        *_groups(likely),
    ]
    return "\n".join(lines) + "\n"


def _columns(likely: LikelyList) -> tuple[list[str], list[str]]:
    """Return the lines under [columns] and [values]."""
    columns, values = [], []
    needed = needed_columns(likely.table)
    for column in (one for one in HEADINGS[likely.table] if one not in ("thickness", "width")):
        text, remark = _filled(column, likely)
        if text:
            columns.append(f"{column} = {_quoted(text)}" + (f"  # ? {remark}" if remark else ""))
        elif column == "per" and (per := _priced_per(likely)):
            values.append(f"per = {_quoted(per)}  # ? by the heading of the price")
        elif column == "length" and _priced_per(likely) in BY_VOLUME:
            values.append('length = "random"  # ? sold by volume, and no heading is like a length')
        else:
            remark = f"  # ? is needed, and {_why_not(column, likely)}" if column in needed else ""
            values.append(f'# {column} = ""' + ("  # see [groups]" if column in likely.carried.columns else remark))
    return columns, values


def _why_not(column: str, likely: LikelyList) -> str:
    """Return why no heading fills a column of ours."""
    words = known_words(likely.table, column)
    twice = [one for one in likely.found.headings if words_of(one) in words]
    return f"{_quoted(twice[0])} heads {len(twice)} columns: rename all but one" if twice else "no heading is like it"


def _filled(column: str, likely: LikelyList) -> tuple[str, str]:
    """Return what fills a column of ours, and what to look at; both blank where no heading is like it."""
    matches = likely.matches
    if column == "section" and column not in matches and "thickness" in matches:
        return _section(likely)
    if column not in matches:
        return "", ""
    match = matches[column]
    remark = match.remark
    if column != "length" or not any(
        value.replace(".", "").replace(",", "").isdecimal() for value in likely.values(match.heading)
    ):
        return match.heading, remark
    unit = unit_of(match.heading)
    if unit:
        return f"{{{match.heading}}} {unit}", remark
    return match.heading, 'bare numbers are in the unit of your shop; else write "{' + _plain(match.heading) + '} ft"'


def _priced_per(likely: LikelyList) -> str:
    price = likely.matches.get("price")
    per = priced_per(price.heading, likely.table) if price else ""
    return per if is_unit(likely.table, per) else ""


def _section(likely: LikelyList) -> tuple[str, str]:
    """Return a section put together from thickness and width."""
    thickness, width = likely.matches["thickness"].heading, likely.matches.get("width")
    unit = unit_of(thickness)
    if width and not unit and not unit_of(width.heading) and _are_nominal(likely, thickness, width.heading):
        remark = f'nominal (2x4); measured would be "{{{_plain(thickness)}}} x {{{_plain(width.heading)}}} in"'
        return f"{{{thickness}}}x{{{width.heading}}}", remark
    numbers = [float(one) for one in likely.values(thickness) if re.fullmatch(r"\d+(\.\d+)?", one)]
    if not unit and numbers:
        unit = "mm" if max(numbers) > NOMINAL_AT_MOST else "in"
    sides = f"{{{thickness}}} x {{{width.heading}}}" if width else f"{{{thickness}}}"
    return f"{sides} {unit}".strip(), "put together; is the unit right?"


def _are_nominal(likely: LikelyList, thickness: str, width: str) -> bool:
    """Whether all rows read as sections by their bare numbers: 2 and 4, or 5/4 and 6."""
    places = [likely.found.place_of(one) for one in (thickness, width)]
    sides = [[row[place] for place in places] for row in likely.sample if len(row) > max(places)]
    written = [pair for pair in sides if all(pair)]
    whole = all(re.fullmatch(r"\d{1,2}|\d/4", one) for pair in written for one in pair)
    return bool(written) and whole and all(reads(parse_section, "x".join(pair)) for pair in written)


def _sheet(likely: LikelyList) -> list[str]:
    if not likely.sheets:
        return []
    name, *others = likely.sheets
    return [f"sheet = {_quoted(name)}  # ? the others: {_listed(others)}"]


def _date_order(likely: LikelyList) -> list[str]:
    """Return the line on the order of day and month, where dates show it or leave it open."""
    dates = likely.values(likely.matches["date"].heading) if "date" in likely.matches else []
    order = order_of(dates)
    if order:
        return [f"date_order = {_quoted(order)}  # ? as a number above 12 shows"]
    if any("/" in one and is_unclear(one) for one in dates):
        return [f'# date_order = "{MONTH_FIRST}"  # ? or "{DAY_FIRST}": {dates[0]} could be both']
    return []


def _decimal(likely: LikelyList) -> list[str]:
    """Return the line on decimals, where the prices show them."""
    prices = likely.values(likely.matches["price"].heading) if "price" in likely.matches else []
    commas, points = (sum(bool(re.search(rf"\d\{mark}\d\d?(?!\d)", one)) for one in prices) for mark in ",.")
    return [f"decimal = {_quoted(',' if commas > points else '.')}"] if commas or points else []


def _tax(likely: LikelyList) -> list[str]:
    heading = likely.matches["price"].heading if "price" in likely.matches else ""
    if with_tax(heading):
        return ["# tax_included_percent = 19    # ? the heading of the price says that tax is in it: how much?"]
    return ["# tax_included_percent = 19    # the tax that is in the prices, where they hold one"]


def _carried_down(likely: LikelyList) -> list[str]:
    columns = ", ".join(map(_quoted, likely.carried.columns))
    return [f"carried_down = [{columns}]  # ? written once, for the rows below too"] if columns else []


def _groups(likely: LikelyList) -> list[str]:
    """Return a line for each row that stands alone above goods."""
    if not likely.carried.groups:
        return []
    form = _quoted(f"{GROUP_MARK} ".join(likely.carried.columns))
    return [
        "",
        f'[groups]                       # a row that stands alone = {form}, or "" where it means nothing',
        *(f"{_quoted(theirs)} = {_quoted(ours)}  # ?" for theirs, ours in likely.carried.groups.items()),
    ]


def _units(likely: LikelyList) -> list[str]:
    """Return a line for each word for a unit that does not mean the same to us as it stands."""
    match = likely.matches.get("per")
    lines = []
    for word in likely.values(match.heading) if match else ():
        ours = our_unit(word, likely.table)
        ours = ours if is_unit(likely.table, ours) else ""
        if ours and name_key(ours) != name_key(word):
            doubt = "  # ? is it so many?" if ours.isdecimal() else ""
            lines.append(f"{_quoted(word)} = {_quoted(ours)}{doubt}")
        elif word == THOUSAND and likely.table == "lumber":
            lines.append(f'# "{word}" = ""  # ? "MBF", a thousand board feet, or "m", a metre')
        elif not ours and not _is_known(word, likely.table):
            lines.append(f'# {_quoted(word)} = ""  # ? not known')
    return lines


def _is_known(word: str, table: str) -> bool:
    return reads(parse_amount, word) if table == "consumables" else is_unit(table, word)


def _quoted(text: str) -> str:
    """Return a text as TOML writes it: JSON strings are TOML strings."""
    return json.dumps(_plain(text), ensure_ascii=False)


def _listed(texts: Iterable[str]) -> str:
    return ", ".join(map(_quoted, texts))


def _plain(text: str) -> str:
    """Return a text on one line, for headings are compared without their line breaks."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
