"""Sanding: what a shop's discs and sheets sand and how long that takes, and the passes in which a build is sanded."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.errors import Origin
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_steps import parse_covered, parse_surfaces, surface_words
from estimator.reading.lists import columns
from estimator.reading.parts import Coated, Part, parse_coated
from estimator.reading.settings import Settings
from estimator.units import IN2_PER_FT2, M2_PER_FT2, parse_area, plain

SANDING_COLUMNS = columns("when, grits", "surfaces, parts, note")
SANDING_SETTINGS = {
    "sanding": ("rate", "edge_factor", "grits"),
    "sanding.grits": ("grit", "item", "area_per_piece", "minutes_per_ft2", "minutes_per_m2", "source"),
}
BEFORE_FINISH, BETWEEN_COATS = "before finish", "between coats"
FINEST_GRIT = 10_000  # finer than any paper that is sold; a slip of the keyboard beyond that; common sense, no source
MOST_EDGE_FACTOR = 10  # as above
UNSOURCED = "common practice, no source"


@dataclass(frozen=True, kw_only=True, slots=True)
class GritSetting:
    """One grit: the disc or sheet it is bought as, what one of them sands before it is dull, and the time it takes.

    The minutes are those of a square foot of face.
    """

    origin: Origin
    grit: int
    item: str
    area_per_piece_ft2: Fraction
    minutes_per_ft2: Fraction
    source: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SandingSettings:
    """The labour rate that sanding is paid at, how often the area of edges and ends counts for it, and the grits."""

    origin: Origin
    rate: str
    edge_factor: Decimal
    grits: tuple[GritSetting, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SandingPass:
    """A row of sanding.csv: grits that follow one another, `when`, and on which surfaces of which parts.

    `parts` holds the keys of the parts, and is empty where all are sanded; `covering` says both in words.
    """

    origin: Origin
    when: str
    grits: tuple[int, ...]
    surfaces: Coated
    parts: tuple[str, ...]
    covering: str
    note: str


def read_sanding_settings(settings: Settings) -> SandingSettings:
    """Return what shop.toml says about sanding; without a word of it no grit is known."""
    table = settings.table("sanding")
    rows = settings.tables("sanding.grits")
    _check_grits_differ(rows)
    return SandingSettings(
        origin=settings.at("rate", "sanding"),
        rate=table.text("rate", blank=None if table.texts or rows else ""),
        edge_factor=table.number("edge_factor", above=True, high=MOST_EDGE_FACTOR, blank=Decimal(1)),
        grits=tuple(map(_grit, rows)),
    )


def read_sanding_pass(row: Fields, parts: tuple[Part, ...]) -> SandingPass:
    """Return one row of the sanding.csv of a build with such parts."""
    names = {name_key(part.name): part.name for part in parts}
    everything, no_parts, no_grits = parse_coated("all"), tuple[str, ...](), tuple[int, ...]()
    words = surface_words(row.text("surfaces", blank="all"))
    return SandingPass(
        origin=row.origin,
        when=row.choice("when", (BEFORE_FINISH, BETWEEN_COATS)),
        grits=row.read("grits", parse_grits, no_grits),
        surfaces=row.read("surfaces", parse_surfaces, everything, blank=everything),
        parts=row.read("parts", lambda text: parse_covered(text, names), no_parts, blank=no_parts),
        covering=f"{'all surfaces' if words == 'all' else words} of {row.text('parts', blank='all parts')}",
        note=row.text("note", blank=""),
    )


def parse_grits(text: str) -> tuple[int, ...]:
    """Return grits in the order they are sanded: `80 + 120 + 180`. Raises ValueError."""
    words = [word.strip() for word in plain(text).split("+")]
    if not all(re.fullmatch(r"\d{1,5}", word) and 0 < int(word) <= FINEST_GRIT for word in words):
        raise ValueError(f'"{text}" are no grits; write their numbers joined by +, like 80 + 120 + 180')
    grits = tuple(map(int, words))
    if len(set(grits)) < len(grits):
        raise ValueError(f'"{text}" names a grit twice; write it once, or in a row of its own for each time')
    return grits


def parse_sanded_area(text: str, *, decimal_comma: bool = False) -> Fraction:
    """Return an area in exact square feet: `6 ft2`, `0.5 m2`. Raises ValueError.

    A rectangle is refused: a sheet of 9 x 11 in sands many times its own size before it is dull.
    """
    refusal = f'"{text}" is not what a disc sands before it is dull; write it with its unit, like 6 ft2 or 0.5 m2'
    if "x" in plain(text).lower():
        raise ValueError(refusal)
    try:
        area_in2 = parse_area(text, unit="in", decimal_comma=decimal_comma)
    except ValueError:
        raise ValueError(refusal) from None
    if area_in2 <= 0:
        raise ValueError(refusal)
    return area_in2 / IN2_PER_FT2


def _grit(row: Fields) -> GritSetting:
    return GritSetting(
        origin=row.origin,
        grit=row.count("grit", high=FINEST_GRIT),
        item=row.text("item"),
        area_per_piece_ft2=row.read("area_per_piece", parse_sanded_area, Fraction(1)),
        minutes_per_ft2=_minutes_per_ft2(row),
        source=row.text("source", blank=UNSOURCED),
    )


def _minutes_per_ft2(row: Fields) -> Fraction:
    """Return the minutes that a square foot takes, written for a square foot or for a square metre."""
    per_ft2 = {"minutes_per_ft2": Fraction(1), "minutes_per_m2": M2_PER_FT2}
    written = [name for name in per_ft2 if row.has(name)]
    if len(written) > 1:
        row.fault(written[1], f"stands beside {written[0]}; write only one of them")
    if not written:
        row.fault("minutes_per_ft2", "is missing; write the minutes for a square foot, or minutes_per_m2")
        return Fraction(1)
    return Fraction(row.number(written[0], above=True)) * per_ft2[written[0]]


def _check_grits_differ(rows: tuple[Fields, ...]) -> None:
    """Note a grit that has two settings: they could not be told apart."""
    first: dict[str, Origin] = {}
    for row in rows:
        grit = row.texts.get("grit", "")
        same = first.setdefault(grit, row.origin)
        if grit and same is not row.origin:
            row.fault("grit", f"{grit} is set on line {same.line} too; keep one of the two")
