"""Woods by name: specific gravity, density, weight, and what to know before cutting or screwing them.

Specific gravity is ovendry mass over volume; the volume shrinks as the wood dries, so the moisture content belongs to
the figure. Boards of one species vary about 10 percent about its mean (Wood Handbook GTR-190, page with Table 4-5).
"""

import re
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from unicodedata import normalize

from estimator.standards.tables import read_table

# Water, as Wood Handbook GTR-190 ch. 4 uses it: 1000 kg/m3.
WATER_LB_PER_FT3 = 62.43
IN3_PER_FT3 = 1728
_FIBER_SATURATION_PERCENT = 30.0
_TABLE_MOISTURE_PERCENT = 12.0
# Shrinkage of the volume from green to ovendry, over green specific gravity. From memory, Wood Handbook ch. 4; the
# tests hold it against every species that has both columns.
_SHRINKAGE_PER_SPECIFIC_GRAVITY = 0.265
_NEAREST_NAMES = 5
_ALIKE = 0.6  # share of letters in common, found by trying misspellings


@dataclass(frozen=True, kw_only=True, slots=True)
class Species:
    """A wood of the density table."""

    name: str
    botanical_name: str
    also_called: tuple[str, ...]
    specific_gravity_green: float
    specific_gravity_12_percent: float | None
    note: str
    source: str
    status: str


def species_names() -> tuple[str, ...]:
    """Return the names of the woods in the density table, in its order."""
    return tuple(species.name for species in _all_species())


def find_species(name: str) -> Species:
    """Return a wood by its name, whatever its case, hyphens and spaces; ValueError with likely names otherwise.

    A trade name that only one wood has will do (`cypress`); one that several share (`southern pine`) is refused with
    their names. Trade names: from memory.
    """
    found = _species_by_spelling().get(_spelling(name), ())
    if len(found) == 1:
        return found[0]
    if found:
        raise ValueError(f'"{name}" is a name of several woods; write {_alternatives([one.name for one in found])}')
    nearest = _nearest_names(name)
    question = f"; did you mean {_alternatives(nearest)}?" if nearest else ", nor is any name like it"
    raise ValueError(f'"{name}" is not in the density table{question}')


def specific_gravity(species: str, moisture_percent: float) -> float:
    """Return ovendry mass over volume at a moisture content of 0 percent or more; above 30 percent it is the green one.

    Where the table prints the 12 percent value too, the shrinkage is what makes the relation pass through it.
    Source: wood_density.csv for the two values, `specific_gravity_from_green` between and where there is only one.
    """
    wood = find_species(species)
    green, at_12_percent = wood.specific_gravity_green, wood.specific_gravity_12_percent
    if at_12_percent is None:
        return specific_gravity_from_green(green, moisture_percent)
    return _shrunk(green, (1 - green / at_12_percent) / _dryness(_TABLE_MOISTURE_PERCENT), moisture_percent)


def specific_gravity_from_green(green: float, moisture_percent: float) -> float:
    """Return the specific gravity at a moisture content of average wood, from its green one.

    Gx = Gb / (1 - 0.265 a Gb), a = (30 - x) / 30: the volume shrinks evenly below 30 percent, by 0.265 Gb in all.
    Source: Wood Handbook ch. 4, from memory.
    """
    return _shrunk(green, _SHRINKAGE_PER_SPECIFIC_GRAVITY * green, moisture_percent)


def density_from_specific_gravity(specific_gravity_at_moisture: float, moisture_percent: float) -> float:
    """Return pounds per cubic foot, water in the wood included: 62.43 x Gx x (1 + MC / 100).

    Gx must be on the volume at the same moisture content.
    Source: Wood Handbook GTR-190 ch. 4, as given by D. R. Larsen, Univ. of Missouri, forestry functions, density page.
    """
    return WATER_LB_PER_FT3 * specific_gravity_at_moisture * (1 + moisture_percent / 100)


def density_lb_per_ft3(species: str, moisture_percent: float) -> float:
    """Return pounds per cubic foot of a wood at a moisture content."""
    return density_from_specific_gravity(specific_gravity(species, moisture_percent), moisture_percent)


def weight_lb(volume_in3: float, species: str, moisture_percent: float) -> float:
    """Return pounds of so many cubic inches of a wood, measured at that moisture content."""
    return volume_in3 / IN3_PER_FT3 * density_lb_per_ft3(species, moisture_percent)


def is_tannin_rich(species: str) -> bool:
    """Whether plain steel stains this wood blue-black. Any name will do, in the density table or not."""
    return _has_trait(species, "tannin")


def has_sensitising_dust(species: str) -> bool:
    """Whether the dust of this wood is known to make people allergic. Any name will do."""
    return _has_trait(species, "sensitising_dust")


def is_preservative_treated(species: str) -> bool:
    """Whether the name says the wood is treated (`treated pine`); heat-treated and untreated wood is not."""
    words = re.findall("[a-z]+", species.casefold())
    return "treated" in words and not {"heat", "thermally", "thermo", "not"} & set(words)


def _shrunk(green: float, full_shrinkage: float, moisture_percent: float) -> float:
    """Return the specific gravity after the share of a shrinkage from green to ovendry that has taken place."""
    return green / (1 - full_shrinkage * _dryness(moisture_percent))


def _dryness(moisture_percent: float) -> float:
    """Return how far wood has dried from fiber saturation (0) to ovendry (1)."""
    return max(0.0, (_FIBER_SATURATION_PERCENT - moisture_percent) / _FIBER_SATURATION_PERCENT)


@cache
def _all_species() -> tuple[Species, ...]:
    return tuple(
        Species(
            name=row["species"],
            botanical_name=row["botanical_name"],
            also_called=tuple(filter(None, row["also_called"].split(";"))),
            specific_gravity_green=float(row["specific_gravity_green"]),
            specific_gravity_12_percent=float(row["specific_gravity_12_percent"])
            if row["specific_gravity_12_percent"]
            else None,
            note=row["note"],
            source=row["source"],
            status=row["status"],
        )
        for row in read_table("wood_density.csv")
    )


@cache
def _species_by_spelling() -> dict[str, tuple[Species, ...]]:
    """Return the woods that a spelling stands for; its own name goes before the trade name of another."""
    found: dict[str, tuple[Species, ...]] = {}
    for species in _all_species():
        for trade_name in species.also_called:
            found[_spelling(trade_name)] = (*found.get(_spelling(trade_name), ()), species)
    return found | {_spelling(species.name): (species,) for species in _all_species()}


def _alternatives(names: list[str]) -> str:
    return " or ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


def _spelling(name: str) -> str:
    """Return a name as bare letters, `redcedar, western` as `western redcedar` and `redwood (all)` as `redwood`."""
    last, _, first = name.replace("(all)", "").partition(",")
    letters = normalize("NFKD", f"{first}{last}".casefold())
    return "".join(letter for letter in letters if letter.isalnum())


def _nearest_names(name: str) -> list[str]:
    """Return the names most like a name: first those that share words with it, then those close by letters."""
    words = {word.rstrip("s") for word in re.findall(r"\w+", name.casefold())}
    spelling = _spelling(name)
    likeness = {
        known: (
            sum(word in _spelling(known) for word in words),
            SequenceMatcher(None, spelling, _spelling(known)).ratio(),
        )
        for known in species_names()
    }
    like = [known for known, (shared, ratio) in likeness.items() if shared or ratio > _ALIKE]
    return sorted(like, key=likeness.__getitem__, reverse=True)[:_NEAREST_NAMES]


@cache
def _words_with_trait(trait: str) -> tuple[str, ...]:
    return tuple(_spelling(row["wood"]) for row in read_table("wood_traits.csv") if row["trait"] == trait)


def _has_trait(species: str, trait: str) -> bool:
    spelling = _spelling(species)
    return any(word in spelling for word in _words_with_trait(trait))
