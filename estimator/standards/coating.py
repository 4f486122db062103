"""Coating arithmetic: how far a finish goes, how thick it lies, and what published sources say it loses.

Volume solids are what stays when the rest has dried. A penetrating stain or oil leaves no measurable film, so its rate
comes from its label or from the published coverage here, never from solids and film.
"""

from dataclasses import dataclass
from functools import cache

from estimator.standards.tables import read_table

# A US gallon is 231 in3; spread 0.001 in thick it covers 231 / 0.001 / 144 ft2. Coating guides print 1604.
FT2_MIL_PER_GAL = 231_000 / 144
# A litre spread one micrometre thick covers 1000 m2.
M2_UM_PER_L = 1000.0


@dataclass(frozen=True, kw_only=True, slots=True)
class PublishedRange:
    """A range that a source prints for a loss, a transfer efficiency or a coverage."""

    key: str
    kind: str
    low: float
    high: float
    unit: str
    note: str
    source: str
    status: str


def theoretical_rate_ft2_per_gal(*, volume_solids_percent: float, dry_film_mil: float) -> float:
    """Return square feet a US gallon covers with nothing lost: 1604 x solids / dry film.

    Source: coating maker's general information sheet "Spreading Rate" (Scribd 343849341).
    """
    return FT2_MIL_PER_GAL * volume_solids_percent / 100 / dry_film_mil


def theoretical_rate_m2_per_l(*, volume_solids_percent: float, dry_film_um: float) -> float:
    """Return square metres a litre covers with nothing lost: 10 x solids in percent / dry film.

    Source: coating maker's general information sheet "Spreading Rate" (Scribd 343849341); Scribd 457535557.
    """
    return M2_UM_PER_L * volume_solids_percent / 100 / dry_film_um


def practical_rate(theoretical: float, loss_percent: float) -> float:
    """Return the rate left after losses, in the unit of the rate given: rate x (1 - loss).

    Loss is the share of what leaves the can, so 30 percent loss needs 1 / 0.7 = 1.43 times the finish.
    Source: Corrosionpedia, "Practical coverage".
    """
    return theoretical * (1 - loss_percent / 100)


def wet_film(*, dry_film: float, volume_solids_percent: float) -> float:
    """Return the wet film that dries to a given film, in the unit of that film: dry x 100 / solids.

    Source: coating maker's Tech Note 5.3, "Handy calculations" (Scribd 476982351).
    """
    return dry_film * 100 / volume_solids_percent


def published_ranges(kind: str) -> tuple[PublishedRange, ...]:
    """Return what sources print for a kind (loss, transfer_efficiency or coverage), in the order of the table."""
    return tuple(one for one in _all_ranges() if one.kind == kind)


def published_range(key: str) -> PublishedRange:
    """Return one published range by its key in coating_ranges.csv; KeyError where there is none."""
    return {one.key: one for one in _all_ranges()}[key]


@cache
def _all_ranges() -> tuple[PublishedRange, ...]:
    return tuple(
        PublishedRange(
            key=row["key"],
            kind=row["kind"],
            low=float(row["low"]),
            high=float(row["high"]),
            unit=row["unit"],
            note=row["note"],
            source=row["source"],
            status=row["status"],
        )
        for row in read_table("coating_ranges.csv")
    )
