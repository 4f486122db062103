"""The joints of a build: a row of joints.csv for each way two parts meet, with the area they hide of each other."""

from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, name_key, nearest
from estimator.reading.lists import columns, read_list
from estimator.reading.overlap import (
    ENDS,
    LONG_SURFACES,
    Contact,
    breadth_and_length_in,
    ends_differ,
    is_tapered_end,
    overlap_in2,
)
from estimator.reading.parts import Part, parse_hidden
from estimator.solid import surfaces
from estimator.units import IN2_PER_FT2, area_text, length_text, parse_number, plain

JOINT_COLUMNS = columns("joint, part, surface, on_part, on_surface, joints", "degrees, area, glued, note")
SURFACES = ("left end", "right end", "end", "edge", "face")
ON_SURFACES = ("face", "edge", "end")
MOST_DEGREES = 75  # as for an end cut; what lies flatter than that lies along the other part rather than across it

# Which kind of surface, as `coated` and `hidden_area` have them, each surface belongs to.
_KIND = {**dict.fromkeys(ENDS, "ends"), "edge": "edges", "face": "faces"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Joint:
    """A row of joints.csv: a surface of one part on a surface of another, so many times in one unit.

    `area_in2` is what one of them hides, the same on both parts.
    """

    origin: Origin
    joint: str
    part: str
    surface: str
    on_part: str
    on_surface: str
    joints: int
    degrees: Fraction
    area_in2: float
    glued: bool
    note: str

    def hidden_in2(self, part: str, kind: str) -> float:
        """Return what all of them hide on the pieces of a part in one unit, of its `faces`, `edges` or `ends`."""
        sides = ((self.part, self.surface), (self.on_part, self.on_surface))
        touching = sum(name_key(name) == name_key(part) and _KIND[surface] == kind for name, surface in sides)
        return touching * self.joints * self.area_in2


def read_joints(path: Path, parts: tuple[Part, ...], unit: str, findings: Findings) -> tuple[Joint, ...]:
    """Return the joints of a build with such parts, none where there is no list; faults go to `findings`.

    Rows with a fault, and joints of parts with one, hide nothing, so that no other fault follows from the first.
    """
    if not path.exists():
        return ()
    names = {name_key(part.name): part.name for part in parts}
    sound = _without_faults(parts, findings)
    joints = tuple(_joint(row, names, sound, unit) for row in read_list(path, JOINT_COLUMNS, findings))
    faulty = {fault.origin for fault in findings.faults}
    joints = tuple(joint for joint in joints if joint.origin not in faulty)
    for part in sound.values():
        _check_total(part, joints, unit, findings)
    return joints


def parse_degrees(text: str, *, decimal_comma: bool) -> Fraction:
    """Return how far off square two parts cross; which way makes no difference. Raises ValueError."""
    degrees = abs(parse_number(text.rstrip("° ").removesuffix("deg").strip(), decimal_comma=decimal_comma))
    if degrees > MOST_DEGREES:
        raise ValueError(
            f'"{text}" is no crossing; write the degrees off square, up to {MOST_DEGREES}, and for parts that lie '
            'along each other what one joint hides, under "area"'
        )
    return degrees


def parse_joint_area(text: str, *, unit: str, decimal_comma: bool) -> Fraction:
    """Return what one joint hides in exact square inches: `2 1/2 x 1 1/2`, `2 @ 1/2 x 3 + 4 in2`. Raises ValueError."""
    if " on " in plain(text).lower():
        raise ValueError(f'"{text}" names a surface; write the area alone, for "surface" and "on_surface" say the rest')
    found = parse_hidden(text, unit=unit, decimal_comma=decimal_comma)
    return sum((one.area_in2 for one in found), Fraction(0))


def _without_faults(parts: tuple[Part, ...], findings: Findings) -> dict[str, Part]:
    """Return the parts that can be measured, by key: a faulty measure has been replaced by a stand-in."""
    faulty = {fault.origin for fault in findings.faults}
    return {name_key(part.name): part for part in parts if part.origin not in faulty}


def _joint(row: Fields, names: dict[str, str], sound: dict[str, Part], unit: str) -> Joint:
    faults_before = len(row.findings.faults)
    joint = Joint(
        origin=row.origin,
        joint=row.text("joint"),
        part=_part_name(row, "part", names),
        surface=row.choice("surface", SURFACES),
        on_part=_part_name(row, "on_part", names),
        on_surface=row.choice("on_surface", ON_SURFACES),
        joints=row.count("joints", high=10_000),
        degrees=row.read(
            "degrees",
            lambda text: parse_degrees(text, decimal_comma=row.decimal_comma),
            Fraction(0),
            blank=Fraction(0),
        ),
        area_in2=_written_area_in2(row, unit),
        glued=row.choice("glued", ("no", "yes"), blank="no") == "yes",
        note=row.text("note", blank=""),
    )
    if len(row.findings.faults) > faults_before or row.has("area"):
        return joint
    return replace(joint, area_in2=_overlap_in2(row, joint, sound, unit))


def _part_name(row: Fields, column: str, names: dict[str, str]) -> str:
    """Return a part's name as the list of parts has it; where that could not be read, nothing is looked up."""

    def parse(text: str) -> str:
        if names and name_key(text) not in names:
            hint = nearest(text, names.values())
            raise ValueError(f'"{text}" is no part of this build{hint}; write a name from parts.csv')
        return names.get(name_key(text), text)

    return row.read(column, parse, "")


def _written_area_in2(row: Fields, unit: str) -> float:
    area_in2 = row.read(
        "area",
        lambda text: parse_joint_area(text, unit=unit, decimal_comma=row.decimal_comma),
        Fraction(0),
        blank=Fraction(0),
    )
    return float(area_in2)


def _overlap_in2(row: Fields, joint: Joint, sound: dict[str, Part], unit: str) -> float:
    """Return what one joint hides by the shapes of its parts; surfaces that do not meet in full are a fault."""
    part, on_part = sound.get(name_key(joint.part)), sound.get(name_key(joint.on_part))
    if part is None or on_part is None:
        return 0.0
    one = Contact(shape=part.shape, surface=joint.surface)
    other = Contact(shape=on_part.shape, surface=joint.on_surface)
    if not (_is_one_end(row, "surface", joint.part, one) and _is_one_end(row, "on_surface", joint.on_part, other)):
        return 0.0
    area_in2 = overlap_in2(one, other, joint.degrees)
    if area_in2 is None:
        row.fault("surface", _misfit(joint, one, other, unit))
    return area_in2 or 0.0


def _is_one_end(row: Fields, column: str, part: str, contact: Contact) -> bool:
    """Whether it is clear what a surface measures; if not, that is noted."""
    if ends_differ(contact):
        first = "name that part first, with" if column == "on_surface" else "write"
        row.fault(column, f'"end" could be either end of "{part}", and they differ; {first} left end or right end')
        return False
    if is_tapered_end(contact):
        row.fault(column, f'"{part}" is tapered towards that end; write what one joint hides under "area"')
        return False
    return True


def _misfit(joint: Joint, one: Contact, other: Contact, unit: str) -> str:
    fails = "cross in full" if {one.surface, other.surface} <= set(LONG_SURFACES) else "lie whole one on the other"
    return (
        f'the {joint.surface} of "{joint.part}" ({_measures(one, unit)}) and the {joint.on_surface} of '
        f'"{joint.on_part}" ({_measures(other, unit)}) do not {fails}; write what one joint hides under "area"'
    )


def _measures(contact: Contact, unit: str) -> str:
    return " x ".join(length_text(Fraction(measure), unit) for measure in breadth_and_length_in(contact))


def _check_total(part: Part, joints: tuple[Joint, ...], unit: str, findings: Findings) -> None:
    """Note joints that hide more of a surface, with the part's hidden area, than all its pieces have."""
    area = surfaces(part.shape)
    for kind, have_ft2 in (("faces", area.faces_ft2), ("edges", area.edges_ft2), ("ends", area.ends_ft2)):
        hiding = [joint for joint in joints if joint.hidden_in2(part.name, kind)]
        by_joints = sum(joint.hidden_in2(part.name, kind) for joint in hiding)
        listed = float(part.quantity * sum(one.area_in2 for one in part.hidden if one.surface == kind))
        have = part.quantity * have_ft2 * IN2_PER_FT2
        if hiding and by_joints + listed > have + 1e-6:
            findings.fault(hiding[-1].origin, _too_much(part, kind, hiding, by_joints, listed, have, unit), "joints")


def _too_much(
    part: Part, kind: str, hiding: list[Joint], by_joints: float, listed: float, have: float, unit: str
) -> str:
    lines = [str(joint.origin.line) for joint in hiding]
    where = f"line {lines[0]}" if len(lines) == 1 else f"lines {', '.join(lines[:-1])} and {lines[-1]}"
    beside = ""
    if listed:
        beside = f", hidden_area on line {part.origin.line} of parts.csv {area_text(listed, unit)} more"
    remedy = 'mend the joints, or write under "area" what one of them hides'
    return (
        f'the joints of {where} hide {area_text(by_joints, unit)} of the {kind} of "{part.name}"{beside}, and all its '
        f"pieces have {area_text(have, unit)}; {remedy}{', or take hidden_area out' if listed else ''}"
    )
