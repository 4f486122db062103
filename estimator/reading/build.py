"""A build: the folder with one design's parts, hardware, finish, labour and consumables."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_steps import FINISH_COLUMNS, FinishStep, read_finish_step
from estimator.reading.joints import Joint, read_joints
from estimator.reading.lists import Column, columns, read_list
from estimator.reading.parts import Part, read_parts
from estimator.reading.sanding import SANDING_COLUMNS, SandingPass, read_sanding_pass
from estimator.reading.settings import Settings

BUILD_FILE = "build.toml"
UNITS = ("in", "mm")
WHEN_FINISHED = ("after assembly", "before assembly")

# What minutes of work and amounts of consumables can be counted by.
BUILD_DRIVERS = (
    "batch",
    "unit",
    "piece",
    "cut",
    "rip",
    "joint",
    "fastener",
    "ft2 coat",
    "m2 coat",
    "coat",
    "ft2 glue",
    "m2 glue",
)
ORDER_DRIVERS = ("order", "board", *BUILD_DRIVERS[1:])

HARDWARE_COLUMNS = columns("kind, size, material, joint, joints, each", "length, note")
LABOUR_COLUMNS = columns("operation, per, minutes, rate", "setup_minutes, learning_percent, note")
CONSUMABLE_COLUMNS = columns("item, per, amount", "note")


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
    sanding: tuple[SandingPass, ...] = ()
    joints: tuple[Joint, ...] = ()


def read_build(folder: Path, findings: Findings) -> Build:
    """Return the build in a folder; only build.toml and parts.csv must be there. Faults go to `findings`."""
    settings = Settings(folder / BUILD_FILE, findings)
    settings.check_names({"": ("name", "description", "unit", "finish", "moisture_percent")})
    top = settings.table()
    unit = top.choice("unit", UNITS, stand_in="")
    judged = findings if unit else Findings()  # without a unit a bare length is no fault of the list's
    parts = read_parts(folder / "parts.csv", unit, judged)
    joints = read_joints(folder / "joints.csv", parts, unit, judged)
    hardware = _hardware_uses(folder / "hardware.csv", joints, unit, judged)
    return Build(
        folder=folder,
        name=top.text("name"),
        description=top.text("description", blank=""),
        unit=unit,
        finish_after_assembly=top.choice("finish", WHEN_FINISHED, blank=WHEN_FINISHED[0]) == WHEN_FINISHED[0],
        moisture_percent=top.count("moisture_percent", low=0, high=30, blank=12),
        parts=parts,
        hardware=hardware,
        finish=tuple(
            read_finish_step(row, parts) for row in _optional(folder / "finish.csv", FINISH_COLUMNS, findings)
        ),
        labour=tuple(
            read_operation(row, BUILD_DRIVERS) for row in _optional(folder / "labour.csv", LABOUR_COLUMNS, findings)
        ),
        consumables=tuple(
            read_consumable(row, BUILD_DRIVERS)
            for row in _optional(folder / "consumables.csv", CONSUMABLE_COLUMNS, findings)
        ),
        sanding=tuple(
            read_sanding_pass(row, parts) for row in _optional(folder / "sanding.csv", SANDING_COLUMNS, findings)
        ),
        joints=joints,
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


def _hardware_uses(path: Path, joints: tuple[Joint, ...], unit: str, findings: Findings) -> tuple[HardwareUse, ...]:
    """Return the hardware of one unit; with it the counts of its joints in both lists are compared."""
    faults_before = len(findings.faults)
    uses = tuple(_hardware(row, unit) for row in _optional(path, HARDWARE_COLUMNS, findings))
    if len(findings.faults) == faults_before:
        _check_joints((*uses, *joints), findings)
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


def read_consumable(row: Fields, drivers: tuple[str, ...]) -> ConsumableUse:
    """Return one use of a consumable; `drivers` are the words its `per` column may hold."""
    return ConsumableUse(
        origin=row.origin,
        item=row.text("item"),
        per=row.choice("per", drivers),
        amount=row.number("amount", above=True),
        note=row.text("note", blank=""),
    )


def _optional(path: Path, wanted: tuple[Column, ...], findings: Findings) -> tuple[Fields, ...]:
    """Return the rows of a list that a build may do without."""
    return read_list(path, wanted, findings) if path.exists() else ()


def _check_joints(named: tuple[HardwareUse | Joint, ...], findings: Findings) -> None:
    """Note rows that count the same joint differently: the work at the joints is counted from them."""
    first: dict[str, HardwareUse | Joint] = {}
    for use in named:
        other = first.setdefault(name_key(use.joint), use)
        if other.joints != use.joints:
            of_list = "" if other.origin.file == use.origin.file else " of hardware.csv"
            findings.fault(
                use.origin,
                f'"{use.joint}" counts {use.joints} here and {other.joints} on line {other.origin.line}{of_list}; '
                "make them the same, or name two joints",
                "joints",
            )
