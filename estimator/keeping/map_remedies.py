"""What to change in the map of a list where a row of it cannot be read: the list itself is the supplier's."""

import re
from collections.abc import Sequence

from estimator.keeping.carried_columns import CARRIED
from estimator.keeping.supplier_map import SupplierMap, headings_in
from estimator.keeping.written_dates import DAY_FIRST, MONTH_FIRST, is_no_day, is_unclear
from estimator.reading.fields import LONGEST_SHOWN

_KEPT = ("open the workbook", "suppliers.toml", "shorten it")  # remedies that no map can replace
_SKIP = "write a word of its row under skip in"
_OF_A_RANGE = ("is out of range", "does not fit here")
_UNITS = {"in": ("in", "ft"), "mm": ("mm", "m")}  # of sections and of boards, by the unit of the shop


def told_of_map(message: str, column: str, text: str, map_: SupplierMap, unit: str) -> str:
    """Return the message of a fault with what to change in the map behind it.

    `column` is ours and `text` what was to be read there; `unit` is that of the shop.
    """
    file = map_.path.name
    if "the map" in message:
        return message.replace("the map", file)
    if any(remedy in message for remedy in _KEPT):
        return message
    quoted = f'"{text}"' if message.startswith(f'"{text}"') else ""
    told, _, wanted = message.removeprefix(quoted).partition("; ")
    problem = quoted + told
    if told.endswith(_OF_A_RANGE) and wanted.startswith("write "):  # the range is in what is wanted
        problem += f": {wanted.removeprefix('write ')} is wanted"
    if not text and column in map_.columns:
        return f"is missing; {_fill_in([column], map_)}"
    if column == "date" and is_no_day(text):
        problem = f'"{text}" is no day of the calendar'
    if column == "length" and "comes in random widths" in told:
        where = f"where {map_.heading_of('section')} has no width"
        problem = f'"{text}" stands {where}, and boards of random widths have random lengths'
        return f"{problem}; mend what fills section, or {_SKIP} {file}"
    return f"{problem}; {_remedy(column, text, map_, unit)} {file}"


def shown(text: str) -> str:
    """Return a text of a list as a message quotes it: printable, on one line and not endless."""
    line = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    return line if len(line) <= LONGEST_SHOWN else f"{line[:LONGEST_SHOWN]} ..."


def is_blank(message: str) -> bool:
    """Whether a fault is that nothing is written."""
    return message.startswith("is missing")


def all_blank(columns: Sequence[str], map_: SupplierMap) -> str:
    """Return what is said of a row in which several columns are blank that goods have."""
    return f"are missing; {_fill_in(columns, map_)}"


def _fill_in(columns: Sequence[str], map_: SupplierMap) -> str:
    """Return what to do about blanks: the row may be one of totals, or take what stands above.

    Goods that take something from above have all the rest, so that other blanks speak for a row of totals.
    """
    may_be_above = [one for one in CARRIED[map_.table] if one not in map_.carried_down]
    above = ", ".join(one for one in may_be_above if one in columns) if set(columns) <= set(may_be_above) else ""
    other = f"name {above} under carried_down" if above else "have it filled in"
    return f"write a word of its row under skip in {map_.path.name}, or {other}"


def _remedy(column: str, text: str, map_: SupplierMap, unit: str) -> str:
    """Return what to do, up to the name of the map."""
    if column not in map_.columns:
        if text or column in map_.values:
            return f"mend {column} in"
        return f"write {column} under {'[groups]' if column in map_.carried_down else '[columns] or [values]'} in"
    if column == "date":
        if not is_unclear(text) or is_no_day(text):
            return f"mend what fills date, or {_SKIP}"
        return "mend date_order in" if map_.date_order else f'write date_order = "{MONTH_FIRST}" or "{DAY_FIRST}" into'
    like = "" if column == "length" and not _is_bare(text) else _like(column, map_.columns[column], unit)
    return f"{like}, or {_SKIP}" if like else f"mend what fills {column}, or {_SKIP}"


def _is_bare(text: str) -> bool:
    """Whether a length is a number without its unit, so that the map may give it one."""
    return re.fullmatch(r"[\d.,/ ]+", text) is not None


def _like(column: str, text: str, unit: str) -> str:
    """Return how the map might fill a section or a length instead: with the unit that it lacks, or without."""
    headings = [f"{{{one}}}" for one in headings_in(text)]
    bare = headings_in(text) == (text,) or text.rstrip().endswith("}")
    section_unit, length_unit = _UNITS[unit]
    match column:
        case "section" if bare:
            return f'write section = "{" x ".join(headings)} {section_unit}" where it measures that'
        case "section":
            return f'write section = "{"x".join(headings)}" where it is nominal'
        case "length" if bare and len(headings) == 1:
            return f'write length = "{headings[0]} {length_unit}" where numbers are bare'
    return ""
