"""Which headings of a list seem to fill which columns of ours: by known words, by near ones, by the values."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from estimator.keeping.pack_units import parse_content
from estimator.keeping.supplier_map import PRICED_PER
from estimator.keeping.vocabulary import HEADINGS, LUMBER_UNITS, known_words, our_unit, words_of
from estimator.reading.fields import name_key
from estimator.reading.pack_amounts import parse_amount

CLOSE = 0.8  # so like each other that one is a form of the other
_OF_PACKS: Mapping[str, Callable[[str], object]] = {"hardware": parse_amount, "consumables": parse_content}
Values = Callable[[str], Sequence[str]]  # what stands under a heading, each text once


@dataclass(frozen=True, kw_only=True, slots=True)
class Match:
    """Which of their headings fills a column of ours; `remark` is what to look over, blank where it is a known word."""

    heading: str
    remark: str = ""


def matches_of(table: str, headings: Sequence[str], values: Values) -> dict[str, Match]:
    """Return what fills each column of ours, each heading once."""
    keys = [name_key(one) for one in headings]
    left = {one: words_of(one) for one in headings if one and keys.count(name_key(one)) == 1}
    found: dict[str, Match] = {}
    for near in (False, True):
        for column in HEADINGS[table]:
            heading = "" if column in found else _heading_for(known_words(table, column), left, near=near)
            if heading:
                found[column] = Match(heading=heading, remark="the nearest name" if near else "")
                del left[heading]
    if table == "lumber" and "price" not in found:
        by_unit = next((one for one, words in left.items() if words in LUMBER_UNITS), "")
        if by_unit:
            found["price"] = Match(heading=by_unit, remark="what one costs, or how many there are?")
            del left[by_unit]
    found |= _priced_per(table, found, left, values)
    others = [_quoted(one) for one, words in left.items() if words in known_words(table, "price")]
    if "price" in found and others:
        found["price"] = Match(heading=found["price"].heading, remark=f"or {', '.join(others)}: which do you pay?")
    return {column: match for column, match in found.items() if match.heading}


def _heading_for(words: Iterable[str], headings: Mapping[str, str], *, near: bool) -> str:
    by_words = {key: heading for heading, key in reversed(list(headings.items()))}
    for word in words:
        likely = get_close_matches(word, by_words, n=1, cutoff=CLOSE) if near and len(word) > 3 else [word]
        if likely and likely[0] in by_words:
            return by_words[likely[0]]
    return ""


def _priced_per(table: str, found: Mapping[str, Match], left: Mapping[str, str], values: Values) -> dict[str, Match]:
    """Return what the values say of what prices are per; a column that fills another one then is blank."""
    if PRICED_PER in found:
        match = found[PRICED_PER]
        packs = table in _OF_PACKS and "pack" not in found and _are_packs(table, values(match.heading))
        return {"pack": match, PRICED_PER: Match(heading="")} if packs else {}
    unit = found.get("unit")
    if unit and "pack" not in found and _are_units(table, values(unit.heading)):
        remark = "what prices are per, or is it what a pack is counted in (unit)?"
        return {PRICED_PER: Match(heading=unit.heading, remark=remark), "unit": Match(heading="")}
    named = [one for one in left if _are_units(table, values(one)) and max(map(len, values(one))) > 1]
    return {PRICED_PER: Match(heading=named[0], remark="by the words in it")} if named else {}


def _are_units(table: str, words: Sequence[str]) -> bool:
    return bool(words) and all(our_unit(one, table) and not one.isdecimal() for one in words)


def _are_packs(table: str, words: Sequence[str]) -> bool:
    """Whether all words say how many a pack holds."""
    try:
        for word in words:
            _OF_PACKS[table](word)
    except ValueError:
        return False
    return bool(words) and all(any(map(str.isdecimal, word)) for word in words)


def _quoted(text: str) -> str:
    return f'"{" ".join("".join(sign if sign.isprintable() else " " for sign in text).split())}"'
