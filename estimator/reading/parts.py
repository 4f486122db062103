"""The parts of a build: pieces of one kind, what they are bought as, and the solid that each of them is."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import columns, read_list, shown_path
from estimator.reading.part_shape import checked_surfaces, read_shape
from estimator.solid import Shape
from estimator.standards.sections import Section, parse_section
from estimator.units import area_text, parse_area, plain

PART_COLUMNS = columns(
    "part, quantity, species, section, length",
    "grade, width, thickness, left_end, right_end, clipped_corners, clip_along, clip_across, coated, hidden_area, "
    "left_bevel, right_bevel, rounded_corners, corner_radius, tapered_sides, taper_end, taper_to, taper_length, "
    "show_face, match, note",
)


_ANY_SECTION = parse_section("1000 x 1000 mm")  # stands in for a faulty one: no width is too much for it


@dataclass(frozen=True, kw_only=True, slots=True)
class Coated:
    """Which surfaces take finish: how many of the two faces, the long edges, the ends."""

    faces: int
    edges: bool
    ends: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Hidden:
    """Area of one piece that joints cover, in square inches, on one kind of surface."""

    surface: str
    area_in2: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A row of parts.csv: the pieces of one kind in one unit."""

    origin: Origin
    name: str
    quantity: int
    species: str
    grade: str
    section: Section
    shape: Shape
    coated: Coated
    hidden: tuple[Hidden, ...]
    note: str
    show_face: bool = False  # whether a face must show, so that the piece is not turned over at the saw
    match: str = ""  # parts of one unit with the same word should come from one board


def read_parts(path: Path, unit: str, findings: Findings) -> tuple[Part, ...]:
    """Return the parts of one unit; faults go to `findings`."""
    faults_before = len(findings.faults)
    rows = read_list(path, PART_COLUMNS, findings)
    if not rows and len(findings.faults) == faults_before:
        findings.fault(Origin(file=shown_path(path)), "lists no parts; write a row for each part under the headings")
    _check_names_differ(rows, findings)
    parts = tuple(_part(row, unit) for row in rows)
    _note_mixed_matches(parts, findings)
    return parts


def _note_mixed_matches(parts: Iterable[Part], findings: Findings) -> None:
    """Note parts that should match and never come from one board, being bought as different ones."""
    first: dict[str, Part] = {}
    for part in parts:
        other = first.setdefault(name_key(part.match), part)
        boards = {(name_key(one.species), name_key(one.grade), one.section.text) for one in (part, other)}
        if part.match and len(boards) > 1:
            findings.notice(
                part.origin,
                f'"{part.name}" and "{other.name}" are to match ("{part.match}") and are bought as different boards, '
                "so each of the two is matched for itself",
            )


def parse_coated(text: str) -> Coated:
    """Return which surfaces words name: `all`, `none`, `faces`, `one face`, `edges`, `ends`, joined by commas or +."""
    words = [word.strip() for word in re.split(r"[,;+&]|\band\b", plain(text).lower()) if word.strip()]
    known = {"all", "none", "faces", "one face", "edges", "ends"}
    unknown = [word for word in words if word not in known]
    if unknown or not words or (len(words) > 1 and {"all", "none"} & set(words)):
        raise ValueError(f'"{text}" names no surfaces; write all, none, or some of faces, one face, edges, ends')
    everything = "all" in words
    faces = 2 if everything or "faces" in words else 1 if "one face" in words else 0
    return Coated(faces=faces, edges=everything or "edges" in words, ends=everything or "ends" in words)


def parse_hidden(text: str, *, unit: str, decimal_comma: bool) -> tuple[Hidden, ...]:
    """Return hidden areas written `2 @ 1 1/2 x 3 1/2 on edges + 4 in2 on ends`; faces where no surface is named."""
    found = []
    for item in plain(text).lower().split("+"):
        match = re.fullmatch(r" ?(?:(\d{1,4}) ?@ ?)?(.+?)(?: on (faces|edges|ends))? ?", item)
        if match is None:
            raise ValueError(f'"{text}" is not an area; write 2 @ 1 1/2 x 3 1/2 on edges')
        area_in2 = parse_area(match[2], unit=unit, decimal_comma=decimal_comma) * int(match[1] or 1)
        found.append(Hidden(surface=match[3] or "faces", area_in2=area_in2))
    return tuple(found)


def _part(row: Fields, unit: str) -> Part:
    faults_before = len(row.findings.faults)
    section = row.read("section", parse_section, _ANY_SECTION)
    shape = read_shape(row, section, unit)
    no_hidden: tuple[Hidden, ...] = ()
    hidden = row.read(
        "hidden_area",
        lambda text: parse_hidden(text, unit=unit, decimal_comma=row.decimal_comma),
        no_hidden,
        blank=no_hidden,
    )
    if len(row.findings.faults) == faults_before:
        _check_solid(row, shape, hidden, unit)
    return Part(
        origin=row.origin,
        name=row.text("part"),
        quantity=row.count("quantity", high=1000),
        species=row.text("species"),
        grade=row.text("grade", blank=""),
        section=section,
        shape=shape,
        coated=row.read("coated", parse_coated, parse_coated("all"), blank=parse_coated("all")),
        hidden=hidden,
        note=row.text("note", blank=""),
        show_face=row.choice("show_face", ("no", "yes"), blank="no") == "yes",
        match=row.text("match", blank=""),
    )


def _check_solid(row: Fields, shape: Shape, hidden: tuple[Hidden, ...], unit: str) -> None:
    """Note cuts that leave no part, and joints that hide more of a surface than there is."""
    area = checked_surfaces(row, shape, unit)
    if area is None:
        return
    have_ft2 = {"faces": area.faces_ft2, "edges": area.edges_ft2, "ends": area.ends_ft2}
    for surface, have in have_ft2.items():
        hidden_in2 = float(sum(one.area_in2 for one in hidden if one.surface == surface))
        if hidden_in2 > have * 144 + 1e-9:
            row.fault(
                "hidden_area",
                f'"{row.texts["hidden_area"]}" hides {area_text(hidden_in2, unit)} of the {surface}, and the part has '
                f"{area_text(have * 144, unit)}; mend the area, or say which surface: on faces, on edges or on ends",
            )


def _check_names_differ(rows: tuple[Fields, ...], findings: Findings) -> None:
    """Note two parts of one name: the cutting list could not tell their pieces apart."""
    first: dict[str, Origin] = {}
    for row in rows:
        text = row.texts.get("part", "")
        same = first.setdefault(name_key(text), row.origin)
        if text and same is not row.origin:
            findings.fault(row.origin, f'"{text}" stands on line {same.line} too; give it another name', "part")
