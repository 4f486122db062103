"""The finish of a build: a row of finish.csv for each step, with the surfaces and the parts that it covers."""

from collections.abc import Iterable
from dataclasses import dataclass

from estimator.errors import Origin
from estimator.reading.fields import Fields, name_key, nearest
from estimator.reading.lists import columns
from estimator.reading.parts import Coated, Part, parse_coated
from estimator.reading.trade_units import SpreadRange, parse_spread
from estimator.units import plain

# On slats a gun loses more than on a panel: most of what leaves it goes between them.
METHODS = ("brush", "roller", "pad", "dip", "spray", "spray on slats", "wipe")
TEXTURES = ("smooth", "rough")
ALL_BUT = "all but "

FINISH_COLUMNS = columns("product, coats", "surfaces, parts, method, texture, rate, note")


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishStep:
    """A row of finish.csv: coats of one product; `rate` replaces the price table's spread rates where given.

    `parts` holds the keys of the parts that the step covers, and is empty where it covers all of them.
    """

    origin: Origin
    product: str
    coats: int
    coated: Coated
    method: str
    texture: str
    rate: SpreadRange | None
    note: str
    parts: tuple[str, ...] = ()

    def covers(self, part: Part) -> bool:
        """Whether the step goes on the pieces of a part."""
        return not self.parts or name_key(part.name) in self.parts


def read_finish_step(row: Fields, parts: tuple[Part, ...]) -> FinishStep:
    """Return one step of a build with such parts."""
    names = {name_key(part.name): part.name for part in parts}
    everything: tuple[str, ...] = ()
    return FinishStep(
        origin=row.origin,
        product=row.text("product"),
        coats=row.count("coats", high=20),
        coated=row.read("surfaces", parse_surfaces, parse_coated("all"), blank=parse_coated("all")),
        method=row.choice("method", METHODS, blank="brush"),
        texture=row.choice("texture", TEXTURES, blank="smooth"),
        rate=row.read("rate", lambda text: parse_spread(text, decimal_comma=row.decimal_comma), None)
        if row.has("rate")
        else None,
        note=row.text("note", blank=""),
        parts=row.read("parts", lambda text: parse_covered(text, names), everything, blank=everything),
    )


def parse_surfaces(text: str) -> Coated:
    """Return the surfaces of a step: as `coated` has them, `end grain` for ends, `show faces` for a face of every part.

    Which of its two faces a part shows makes no difference: they are of one size.
    """
    try:
        return parse_coated(plain(text).lower().replace("end grain", "ends").replace("show faces", "one face"))
    except ValueError:
        known = "faces, one face, show faces, edges, ends, end grain"
        raise ValueError(f'"{text}" names no surfaces; write all, none, or some of {known}') from None


def parse_covered(text: str, names: dict[str, str]) -> tuple[str, ...]:
    """Return the keys of the parts named by `Arm + Seat slat` or `all but Leg + Rail`; `names` holds all, by key.

    Without any names, where the list of parts could not be read, nothing is looked up. Raises ValueError.
    """
    words = plain(text)
    but = words.lower().startswith(ALL_BUT)
    named = [word.strip() for word in words[len(ALL_BUT) if but else 0 :].split("+") if word.strip()]
    if not names:
        return ()
    _refuse_unknown(named, names.values())
    keys = {name_key(name) for name in named}
    covered = tuple(key for key in names if (key not in keys) == but)
    if not covered:
        raise ValueError(f'"{text}" leaves no part to cover; take the row out, or name fewer parts')
    return covered


def _refuse_unknown(named: list[str], known: Iterable[str]) -> None:
    """Raise ValueError for a name that no part has, with the nearest one that a part has."""
    known = tuple(known)
    keys = {name_key(name) for name in known}
    for name in named:
        if name_key(name) not in keys:
            hint = nearest(name, known)
            raise ValueError(f'"{name}" is no part of this build{hint}; write names from parts.csv, joined by +')
