"""The finish of a build: a row of finish.csv for each step, with the surfaces and the parts that it covers."""

import re
from collections.abc import Sequence
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
SEPARATORS = re.compile(r"[,;+&]|\band\b")  # between the names of surfaces, here as under `coated`

FINISH_COLUMNS = columns("product, coats", "surfaces, parts, method, texture, rate, note")


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishStep:
    """A row of finish.csv: coats of one product; `rate` replaces the price table's spread rates where given.

    `parts` holds the keys of the parts that the step covers, and is empty where it covers all of them; `surface_words`
    are those in which the surfaces were named.
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
    surface_words: str = "all"

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
        surface_words=surface_words(row.text("surfaces", blank="all")),
    )


def parse_surfaces(text: str) -> Coated:
    """Return the surfaces of a step: as `coated` has them, `end grain` for ends, `show faces` for a face of every part.

    Which of its two faces a part shows makes no difference: they are of one size. `all but underside` leaves out one
    face, `all but ends + edges` those.
    """
    words = plain(text).lower().replace("end grain", "ends")
    try:
        if words.startswith(ALL_BUT):
            coated = _all_but(parse_coated(words[len(ALL_BUT) :].replace("underside", "one face")))
        else:
            coated = parse_coated(words.replace("show faces", "one face"))
    except ValueError:
        known = "faces, one face, show faces, edges, ends, end grain"
        but_known = "underside, faces, edges, ends, end grain"
        raise ValueError(
            f'"{text}" names no surfaces; write all, none, some of {known}, or all but some of {but_known}'
        ) from None
    if words.startswith(ALL_BUT) and not (coated.faces or coated.edges or coated.ends):
        raise ValueError(f'"{text}" leaves no surface to cover; take the row out, or name fewer surfaces')
    return coated


def _all_but(left_out: Coated) -> Coated:
    return Coated(faces=2 - left_out.faces, edges=not left_out.edges, ends=not left_out.ends)


def surface_words(text: str) -> str:
    """Return the words in which surfaces are named as a sentence has them: `one face, edges and ends`."""
    words = plain(text).lower()
    but = ALL_BUT if words.startswith(ALL_BUT) else ""
    return but + listed([word.strip() for word in SEPARATORS.split(words[len(but) :]) if word.strip()])


def listed(words: Sequence[str]) -> str:
    """Return `one`, `one and two` or `one, two and three`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def parse_covered(text: str, names: dict[str, str]) -> tuple[str, ...]:
    """Return the keys of the parts named by `Arm + Seat slat` or `all but Leg + Rail`; `names` holds all, by key.

    A name that no part has covers the parts in whose names it stands: `Seat` covers Seat slat and Seat bearer. Without
    any names, where the list of parts could not be read, nothing is looked up. Raises ValueError.
    """
    words = plain(text)
    but = words.lower().startswith(ALL_BUT)
    named = [word.strip() for word in words[len(ALL_BUT) if but else 0 :].split("+") if word.strip()]
    if not names:
        return ()
    keys = {key for name in named for key in _parts_named(name, names)}
    covered = tuple(key for key in names if (key not in keys) == but)
    if not covered:
        raise ValueError(f'"{text}" leaves no part to cover; take the row out, or name fewer parts')
    return covered


def _parts_named(name: str, names: dict[str, str]) -> tuple[str, ...]:
    """Return the key of the part of that name, else those of parts in whose names it stands as whole words.

    Raises ValueError for a name that stands in none, with the nearest one that a part has.
    """
    wanted = name_key(name)
    if wanted in names:
        return (wanted,)
    whole_words = re.compile(rf"(?<!\w){re.escape(wanted)}(?!\w)")
    found = tuple(key for key in names if whole_words.search(key))
    if not found:
        words = [word for one in names.values() for word in one.split()]
        hint = nearest(name, [*names.values(), *words])
        raise ValueError(f'"{name}" is no part of this build{hint}; write names from parts.csv, joined by +')
    return found
