"""The map of one supplier's lists: which of their columns is which of ours, and what their prices hold.

A column of ours is one of theirs, or a text with theirs in braces: `section = "{Thickness} x {Width} mm"`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.keeping.price_units import OUR_UNITS, is_unit
from estimator.reading.fields import Fields, closest, name_key, nearest
from estimator.reading.settings import Settings
from estimator.reading.sold import SOLD

MAP_ENDING = ".map.toml"
DECIMALS = (".", ",")
DATE_ORDERS = ("month day year", "day month year", "year month day")
GROUP_MARK = ";"  # between the columns of a group: names of goods have commas
PRICED_PER = "per"  # what a price is per; our own tables have it for lumber only, all others are priced by the pack
_TOP = (
    "supplier",
    "table",
    "sheet",
    "heading_row",
    "skip",
    "date",
    "date_order",
    "decimal",
    "tax_included_percent",
    "discount_percent",
    "carried_down",
)
_ITS_OWN = ("supplier", "date")  # of our columns, set by the map itself; a date may have a column of its own too
_NEVER_CARRIED = ("price", "from_quantity", *_ITS_OWN)
_HEADING = re.compile(r"\{\s*([^{}\s][^{}]*)\}")
_WITHOUT_PACK = {"hardware": ("pack",), "finishes": ("container",), "consumables": ("pack", "unit")}


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierMap:
    """How one list becomes rows of one of our tables.

    `columns` and `values` are by the name of our column: a heading of theirs or a text with headings in braces, and
    what stands in every row. `units` are their words for what a price is per, by their key, with ours. `lines` says
    where each column stands in the map. `date_order` is blank where dates have to be clear.
    `carried_down` are columns of ours that a list writes once for the rows below, the larger first; `groups` are rows
    that stand alone, by their key, with a text for each of those columns, and with none at all where they mean nothing.
    """

    path: Path
    origin: Origin
    supplier: str
    table: str
    columns: Mapping[str, str]
    values: Mapping[str, str]
    units: Mapping[str, str]
    lines: Mapping[str, int | None]
    sheet: str = ""
    heading_row: int | None = None
    skip: tuple[str, ...] = ()
    day: date | None = None
    date_order: str = ""
    decimal: str | None = None
    tax_included_percent: Decimal = Decimal(0)
    discount_percent: Decimal = Decimal(0)
    carried_down: tuple[str, ...] = ()
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The map's own name, which the table taken over through it bears too: `fernhill` of `fernhill.map.toml`."""
        return self.path.name.removesuffix(MAP_ENDING)

    def at(self, column: str) -> Origin:
        """Return where a column of ours stands in the map."""
        return Origin(file=self.origin.file, line=self.lines.get(column))

    def heading_of(self, column: str) -> str:
        """Return the headings in the list that a column of ours is filled from, or its own name."""
        return ", ".join(headings_in(self.columns.get(column, column)))


def our_columns(table: str) -> tuple[str, ...]:
    """Return the columns of ours that a map of the table may fill."""
    names = [column.name for column in SOLD[table]]
    return tuple(names if PRICED_PER in names else [*names, PRICED_PER])


def needed_columns(table: str) -> tuple[str, ...]:
    """Return the columns of ours that a map of the table must fill, one way or the other."""
    left_out = {*_ITS_OWN, *_WITHOUT_PACK.get(table, ())}
    return tuple(column.name for column in SOLD[table] if column.required and column.name not in left_out)


def headings_in(text: str) -> tuple[str, ...]:
    """Return the headings that stand for a column of ours: those in braces, or else the text itself."""
    return tuple(one.strip() for one in _HEADING.findall(text)) or (text,)


def read_supplier_map(path: Path, findings: Findings) -> SupplierMap:
    """Return a map; faults go to `findings`, those of its columns also where it names no table of ours."""
    settings = Settings(path, findings)
    faults_before = len(findings.faults)
    table = settings.table().choice("table", tuple(SOLD))
    tables = (table,) if len(findings.faults) == faults_before else tuple(SOLD)
    known = tuple(dict.fromkeys(name for one in tables for name in our_columns(one)))
    settings.check_names({"": _TOP, "columns": known, "values": known, "units": (), "groups": ()})
    top, columns, values = settings.table(), settings.table("columns"), settings.table("values")
    found = SupplierMap(
        path=path,
        origin=settings.origin,
        supplier=top.text("supplier"),
        table=table,
        columns={name: text for name, text in columns.texts.items() if text},
        values={name: text for name, text in values.texts.items() if text},
        units={name_key(theirs): ours for theirs, ours in settings.table("units").texts.items()},
        lines={**(values.lines or {}), **(columns.lines or {})},
        sheet=top.text("sheet", blank=""),
        heading_row=top.count("heading_row") if top.has("heading_row") else None,
        skip=settings.texts("", "skip"),
        day=top.day("date") if top.has("date") else None,
        date_order=top.choice("date_order", DATE_ORDERS, blank=""),
        decimal=top.choice("decimal", DECIMALS) if top.has("decimal") else None,
        tax_included_percent=top.number("tax_included_percent", high=100, blank=Decimal(0)),
        discount_percent=top.number("discount_percent", high=99, blank=Decimal(0)),
        carried_down=settings.texts("", "carried_down"),
        groups={name_key(theirs): _parts(ours) for theirs, ours in settings.table("groups").texts.items()},
    )
    _check_name(path, settings, findings)
    if settings.readable:
        _check_carried_down(found, known, settings, findings)
        _check_braces(columns)
        _check_columns(found, columns, findings)
        _check_units(found, tables, settings, findings)
        if tables == (table,):
            _check_filled(found, _misspelt(settings, known), columns, findings)
    return found


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(GROUP_MARK)) if text else ()


def _check_name(path: Path, settings: Settings, findings: Findings) -> None:
    if not re.fullmatch(rf"\w[\w .-]*{re.escape(MAP_ENDING)}", path.name):
        message = f"is no name of a map; call it after the supplier, in letters and figures, like fernhill{MAP_ENDING}"
        findings.fault(settings.origin, message)


def _check_carried_down(found: SupplierMap, columns: tuple[str, ...], settings: Settings, findings: Findings) -> None:
    """Note columns that cannot be carried down, and groups that do not say what each of them is."""
    origin, carried = settings.at("carried_down"), found.carried_down
    for name in carried:
        known = [one for one in columns if one not in _NEVER_CARRIED]
        if name not in known:
            message = f'"{name}" cannot be carried down{nearest(name, known)}; write some of {", ".join(known)}'
            findings.fault(origin, message, "carried_down")
        elif name in found.values:
            findings.fault(origin, f'"{name}" stands under [values] too; keep one of them', "carried_down")
        elif name not in found.columns and not found.groups:
            remedy = f'write {name} = "their heading" under [columns], or the rows that stand alone under [groups]'
            findings.fault(origin, f'nothing fills "{name}"; {remedy}', "carried_down")
    if len(set(carried)) < len(carried):
        findings.fault(origin, "names a column twice; keep one of them", "carried_down")
    for theirs, ours in settings.table("groups").texts.items():
        parts = _parts(ours)
        if not carried:
            remedy = 'write carried_down = ["species"] at the top, with the columns that groups fill'
            findings.fault(settings.at(theirs, "groups"), f'"{theirs}" fills no column; {remedy}', "groups")
        elif parts and (len(parts) != len(carried) or not any(parts)):
            form = f'"{theirs}" = "{f"{GROUP_MARK} ".join(carried)}"'
            message = f'"{ours}" does not say what each column is that is carried down; write {form}'
            if len(parts) < len(carried) and all(parts):  # blank only where it says so: a comma may have been meant
                given = f"{GROUP_MARK} ".join(parts) + GROUP_MARK * (len(carried) - len(parts))
                message += f', "{given}" with "{GROUP_MARK}" behind where the rest is blank,'
            message += ' or "" for nothing' if message.endswith(",") else ', or "" for nothing'
            findings.fault(settings.at(theirs, "groups"), message, "groups")


def _check_braces(columns: Fields) -> None:
    """Note texts in which a brace is forgotten or doubled."""
    for name, text in columns.texts.items():
        if re.search(r"[{}]", _HEADING.sub("", text)):
            remedy = f'write {{ before and }} behind each heading, like {name} = "{{Heading}}"'
            columns.fault(name, f'"{text}" has a brace too many or too few; {remedy}')


def _check_columns(found: SupplierMap, columns: Fields, findings: Findings) -> None:
    """Note columns that are filled twice, or in a way that they cannot be."""
    for name in sorted(found.columns.keys() & found.values.keys()):
        columns.fault(name, "stands under [values] too; keep one of them")
    if "price" in found.values:
        findings.fault(found.at("price"), "is one for every row; name their column under [columns]", "price")


def _check_units(found: SupplierMap, tables: tuple[str, ...], settings: Settings, findings: Findings) -> None:
    """Note units of ours that are none for the table, or for no table where the map names none of ours."""
    whose, ours = (found.table, OUR_UNITS[found.table]) if len(tables) == 1 else ("any table", "pack or each")
    written = [(theirs, text, "units") for theirs, text in settings.table("units").texts.items()]
    written += [(PRICED_PER, found.values[PRICED_PER], "values")] if PRICED_PER in found.values else []
    for name, text, heading in written:
        if not any(is_unit(table, text) for table in tables):
            message = f'"{name}" = "{text}" is nothing that prices of {whose} are per; write {ours}'
            findings.fault(settings.at(name, heading), message, heading)


def _misspelt(settings: Settings, known: tuple[str, ...]) -> set[str]:
    """Return the columns that are written in a way that is a fault by itself: misspelt, or with a list."""
    written = {
        name: value
        for table in ("columns", "values")
        if isinstance(settings.values.get(table), dict)
        for name, value in settings.values[table].items()
    }
    named = {closest(name, known) for name in written if name not in known}
    return named | {name for name, value in written.items() if isinstance(value, list | dict)}


def _check_filled(found: SupplierMap, misspelt: set[str], columns: Fields, findings: Findings) -> None:
    """Note columns that nothing fills."""
    filled = {*found.columns, *found.values, *found.carried_down, *misspelt}
    for name in needed_columns(found.table):
        if name not in filled:
            near = nearest(name, filled)
            message = f'nothing fills the column "{name}" of the {found.table}{near}; write {name} = "their heading"'
            findings.fault(columns.origin, f"{message} under [columns], or one value under [values]", "columns")
    pack, *_ = _WITHOUT_PACK.get(found.table, ("",))  # lumber needs its own column per, so that is told above
    if pack and pack not in filled and PRICED_PER not in filled:
        message = f"nothing says what a price is per; write {pack} or {PRICED_PER} under [columns] or [values]"
        findings.fault(columns.origin, message, "columns")
