"""What lumber measures once it is dressed: softwood by its nominal size, hardwood by its rough thickness."""

from fractions import Fraction
from functools import cache

from estimator.standards.tables import read_table

# PS 20 names its classes by nominal thickness: boards under 2 in, dimension lumber 2 to under 5 in, timbers from 5 in.
_DIMENSION_FROM_IN = 2
_TIMBER_FROM_IN = 5


def softwood_dressed_in(*, nominal_thickness_in: Fraction, nominal_width_in: Fraction) -> tuple[Fraction, Fraction]:
    """Return thickness and width in inches of dry dressed softwood of a nominal size; KeyError where there is none.

    Source: NIST PS 20, American Softwood Lumber Standard, size table (dry), as reproduced; see the CSV.
    """
    size_class = _size_class(nominal_thickness_in)
    table = _softwood_sizes()
    return table[size_class, "thickness"][nominal_thickness_in], table[size_class, "width"][nominal_width_in]


def softwood_widths_in(nominal_thickness_in: Fraction) -> tuple[Fraction, ...]:
    """Return the nominal widths in inches that softwood of a nominal thickness has; empty where none is so thick."""
    size_class = _size_class(nominal_thickness_in)
    if nominal_thickness_in not in _softwood_sizes()[size_class, "thickness"]:
        return ()
    return tuple(sorted(_softwood_sizes()[size_class, "width"]))


def hardwood_surfaced_in(rough_thickness_in: Fraction) -> Fraction:
    """Return the thickness in inches of hardwood surfaced on two sides; KeyError where NHLA lists no such thickness.

    Source: NHLA standard thicknesses, as reproduced; 10/4 from memory; see the CSV.
    """
    return _hardwood_thicknesses()[rough_thickness_in]


def hardwood_rough_thicknesses_in() -> tuple[Fraction, ...]:
    """Return the rough thicknesses in inches that hardwood is sold in, thin to thick."""
    return tuple(_hardwood_thicknesses())


def _size_class(nominal_thickness_in: Fraction) -> str:
    if nominal_thickness_in < _DIMENSION_FROM_IN:
        return "board"
    return "dimension" if nominal_thickness_in < _TIMBER_FROM_IN else "timber"


@cache
def _softwood_sizes() -> dict[tuple[str, str], dict[Fraction, Fraction]]:
    """Return nominal to dressed inches by size class and side; a timber follows one rule on both sides."""
    sizes: dict[tuple[str, str], dict[Fraction, Fraction]] = {}
    for row in read_table("softwood_dressed_sizes.csv"):
        sides = ("thickness", "width") if row["side"] == "either" else (row["side"],)
        for side in sides:
            by_nominal = sizes.setdefault((row["size_class"], side), {})
            by_nominal[Fraction(row["nominal_in"])] = Fraction(row["dressed_dry_in"])
    return sizes


@cache
def _hardwood_thicknesses() -> dict[Fraction, Fraction]:
    return {Fraction(row["rough_in"]): Fraction(row["s2s_in"]) for row in read_table("hardwood_thickness.csv")}
