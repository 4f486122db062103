"""A build: the folder with one design's parts, hardware, finish, labour and consumables."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import get_args

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import Column, columns, read_list, shown_path
from estimator.reading.settings import Settings
from estimator.reading.trade_units import SpreadRange, parse_spread
from estimator.solid import CORNERS, Clip, Corner, Shape, outline, surfaces
from estimator.standards.sections import Section, parse_section
from estimator.units import area_text, length_text, parse_area, plain

BUILD_FILE = "build.toml"
UNITS = ("in", "mm")
METHODS = ("brush", "roller", "pad", "dip", "spray", "wipe")
TEXTURES = ("smooth", "rough")
WHEN_FINISHED = ("after assembly", "before assembly")

# What minutes of work and amounts of consumables can be counted by.
BUILD_DRIVERS = ("batch", "unit", "piece", "cut", "rip", "joint", "fastener", "ft2 coat", "m2 coat")
ORDER_DRIVERS = ("order", "board", *BUILD_DRIVERS[1:])

PART_COLUMNS = columns(
    "part, quantity, species, section, length",
    "grade, width, thickness, left_end, right_end, clipped_corners, clip_along, clip_across, coated, hidden_area, note",
)
HARDWARE_COLUMNS = columns("kind, size, material, joint, joints, each", "length, note")
FINISH_COLUMNS = columns("product, coats", "surfaces, method, texture, rate, note")
LABOUR_COLUMNS = columns("operation, per, minutes, rate", "setup_minutes, learning_percent, note")
CONSUMABLE_COLUMNS = columns("item, per, amount", "note")

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


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwareUse:
    """A row of hardware.csv: what each of so many joints of one unit takes."""

    origin: Origin
    kind: str
    size: str
    length_in: Fraction | None
    material: str
    joint: str
    joints: int
    each: int
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishStep:
    """A row of finish.csv: coats of one product; `rate` replaces the price table's spread rates where given."""

    origin: Origin
    product: str
    coats: int
    coated: Coated
    method: str
    texture: str
    rate: SpreadRange | None
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Operation:
    """A row of labour.csv: minutes for each of what drives the work, and minutes to set up once."""

    origin: Origin
    name: str
    per: str
    minutes: Decimal
    setup_minutes: Decimal
    rate: str
    learning_percent: Decimal
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumableUse:
    """A row of consumables.csv: an amount of an item for each of what drives it."""

    origin: Origin
    item: str
    per: str
    amount: Decimal
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Build:
    """One design, read and checked."""

    folder: Path
    name: str
    description: str
    unit: str
    finish_after_assembly: bool
    moisture_percent: int
    parts: tuple[Part, ...]
    hardware: tuple[HardwareUse, ...]
    finish: tuple[FinishStep, ...]
    labour: tuple[Operation, ...]
    consumables: tuple[ConsumableUse, ...]


def read_build(folder: Path, findings: Findings) -> Build:
    """Return the build in a folder; only build.toml and parts.csv must be there. Faults go to `findings`."""
    settings = Settings(folder / BUILD_FILE, findings)
    settings.check_names({"": ("name", "description", "unit", "finish", "moisture_percent")})
    top = settings.table()
    unit = top.choice("unit", UNITS, stand_in="")
    judged = findings if unit else Findings()  # without a unit a bare length is no fault of the list's
    parts = _parts(folder / "parts.csv", unit, judged)
    hardware = _hardware_uses(folder / "hardware.csv", unit, judged)
    return Build(
        folder=folder,
        name=top.text("name"),
        description=top.text("description", blank=""),
        unit=unit,
        finish_after_assembly=top.choice("finish", WHEN_FINISHED, blank=WHEN_FINISHED[0]) == WHEN_FINISHED[0],
        moisture_percent=top.count("moisture_percent", low=0, high=30, blank=12),
        parts=parts,
        hardware=hardware,
        finish=tuple(map(_finish_step, _optional(folder / "finish.csv", FINISH_COLUMNS, findings))),
        labour=tuple(
            read_operation(row, BUILD_DRIVERS) for row in _optional(folder / "labour.csv", LABOUR_COLUMNS, findings)
        ),
        consumables=tuple(map(_consumable, _optional(folder / "consumables.csv", CONSUMABLE_COLUMNS, findings))),
    )


def read_operation(row: Fields, drivers: tuple[str, ...]) -> Operation:
    """Return one operation; `drivers` are the words its `per` column may hold."""
    return Operation(
        origin=row.origin,
        name=row.text("operation"),
        per=row.choice("per", drivers),
        minutes=row.number("minutes", high=100_000),
        setup_minutes=row.number("setup_minutes", high=100_000, blank=Decimal(0)),
        rate=row.text("rate"),
        learning_percent=row.number("learning_percent", low=50, high=100, blank=Decimal(100)),
        note=row.text("note", blank=""),
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


def parse_corners(text: str) -> tuple[Corner, ...]:
    """Return the corners that words name: `all`, or some of `top left`, `bottom right` ..., joined by commas or +."""
    words = [word.strip() for word in re.split(r"[,;+&]|\band\b", plain(text).lower()) if word.strip()]
    if words == ["all"]:
        return CORNERS
    found = tuple(corner for corner in CORNERS if corner in words)
    if len(found) != len(words) or not found:
        raise ValueError(f'"{text}" names no corners; write all, or some of {", ".join(get_args(Corner))}')
    return found


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


def _parts(path: Path, unit: str, findings: Findings) -> tuple[Part, ...]:
    faults_before = len(findings.faults)
    rows = read_list(path, PART_COLUMNS, findings)
    if not rows and len(findings.faults) == faults_before:
        findings.fault(Origin(file=shown_path(path)), "lists no parts; write a row for each part under the headings")
    _check_names_differ(rows, findings)
    return tuple(_part(row, unit) for row in rows)


def _part(row: Fields, unit: str) -> Part:
    faults_before = len(row.findings.faults)
    section = row.read("section", parse_section, _ANY_SECTION)
    shape = Shape(
        length_in=row.length("length", unit=unit),
        width_in=_sawn_measure(row, "width", section.width_in, unit),
        thickness_in=_sawn_measure(row, "thickness", section.thickness_in, unit),
        left_degrees=row.degrees("left_end"),
        right_degrees=row.degrees("right_end"),
        clips=_clips(row, unit),
    )
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
    )


def _sawn_measure(row: Fields, name: str, stock_in: Fraction | None, unit: str) -> Fraction:
    """Return the finished width or thickness: the board's own where none is written, never more than the board has."""
    if stock_in is None:
        if not row.has(name):
            row.fault(name, f'is missing; "{row.texts["section"]}" comes in random widths, so write the part\'s own')
            return Fraction(1)
        return row.length(name, unit=unit)
    measure_in = row.length(name, unit=unit, blank=stock_in)
    if measure_in > stock_in:
        row.fault(
            name,
            f'"{row.texts[name]}" is more than the {length_text(stock_in, unit)} that "{row.texts["section"]}" has '
            "once dressed; mend the measure or take a larger section",
        )
        return stock_in
    return measure_in


def _clips(row: Fields, unit: str) -> tuple[Clip, ...]:
    if not row.has("clipped_corners"):
        measured = next(filter(row.has, ("clip_along", "clip_across")), None)
        if measured:
            row.fault(measured, 'stands without corners; name them under "clipped_corners", like top left + top right')
        return ()
    named = row.read("clipped_corners", parse_corners, CORNERS)
    along_in, across_in = row.length("clip_along", unit=unit), row.length("clip_across", unit=unit)
    return tuple(Clip(corner=corner, along_in=along_in, across_in=across_in) for corner in named)


def _check_solid(row: Fields, shape: Shape, hidden: tuple[Hidden, ...], unit: str) -> None:
    """Note cuts that leave no part, and joints that hide more of a surface than there is."""
    try:
        outline(shape)
    except ValueError as reason:
        row.fault("clipped_corners" if shape.clips and "clip" in str(reason) else "left_end", str(reason))
        return
    area = surfaces(shape)
    have_ft2 = {"faces": area.faces_ft2, "edges": area.edges_ft2, "ends": area.ends_ft2}
    for surface, have in have_ft2.items():
        hidden_in2 = float(sum(one.area_in2 for one in hidden if one.surface == surface))
        if hidden_in2 > have * 144 + 1e-9:
            row.fault(
                "hidden_area",
                f'"{row.texts["hidden_area"]}" hides {area_text(hidden_in2, unit)} of the {surface}, and the part has '
                f"{area_text(have * 144, unit)}; mend the area, or say which surface: on faces, on edges or on ends",
            )


def _hardware_uses(path: Path, unit: str, findings: Findings) -> tuple[HardwareUse, ...]:
    faults_before = len(findings.faults)
    uses = tuple(_hardware(row, unit) for row in _optional(path, HARDWARE_COLUMNS, findings))
    if len(findings.faults) == faults_before:
        _check_joints(uses, findings)
    return uses


def _hardware(row: Fields, unit: str) -> HardwareUse:
    return HardwareUse(
        origin=row.origin,
        kind=row.text("kind"),
        size=row.size("size"),
        length_in=row.length("length", unit=unit) if row.has("length") else None,
        material=row.text("material"),
        joint=row.text("joint"),
        joints=row.count("joints", high=10_000),
        each=row.count("each", high=1000),
        note=row.text("note", blank=""),
    )


def _finish_step(row: Fields) -> FinishStep:
    return FinishStep(
        origin=row.origin,
        product=row.text("product"),
        coats=row.count("coats", high=20),
        coated=row.read("surfaces", parse_coated, parse_coated("all"), blank=parse_coated("all")),
        method=row.choice("method", METHODS, blank="brush"),
        texture=row.choice("texture", TEXTURES, blank="smooth"),
        rate=row.read("rate", lambda text: parse_spread(text, decimal_comma=row.decimal_comma), None)
        if row.has("rate")
        else None,
        note=row.text("note", blank=""),
    )


def _consumable(row: Fields) -> ConsumableUse:
    return ConsumableUse(
        origin=row.origin,
        item=row.text("item"),
        per=row.choice("per", BUILD_DRIVERS),
        amount=row.number("amount", above=True),
        note=row.text("note", blank=""),
    )


def _optional(path: Path, wanted: tuple[Column, ...], findings: Findings) -> tuple[Fields, ...]:
    """Return the rows of a list that a build may do without."""
    return read_list(path, wanted, findings) if path.exists() else ()


def _check_names_differ(rows: tuple[Fields, ...], findings: Findings) -> None:
    """Note two parts of one name: the cutting list could not tell their pieces apart."""
    first: dict[str, Origin] = {}
    for row in rows:
        text = row.texts.get("part", "")
        same = first.setdefault(name_key(text), row.origin)
        if text and same is not row.origin:
            findings.fault(row.origin, f'"{text}" stands on line {same.line} too; give it another name', "part")


def _check_joints(hardware: tuple[HardwareUse, ...], findings: Findings) -> None:
    """Note rows that count the same joint differently: the work at the joints is counted from them."""
    first: dict[str, HardwareUse] = {}
    for use in hardware:
        other = first.setdefault(name_key(use.joint), use)
        if other.joints != use.joints:
            findings.fault(
                use.origin,
                f'"{use.joint}" counts {use.joints} here and {other.joints} on line {other.origin.line}; '
                "make them the same, or name two joints",
                "joints",
            )
