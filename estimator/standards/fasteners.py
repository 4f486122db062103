"""Screws, nails and what they do to wood: published sizes and counts, least penetration, stains and corrosion."""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from estimator.standards.tables import read_table
from estimator.standards.wood import is_preservative_treated, is_tannin_rich

_SMALLEST_GAUGE, _LARGEST_GAUGE = 0, 24

_RESISTANT = re.compile(
    r"stainless|\binox\b|\ba[24]\b|\b304\b|\b316\b|hot[ -]?dip|\bhdg\b|bronze|brass|copper|titanium"
)
_BARE_OR_THIN_ZINC = re.compile(r"steel|iron|zinc|galvani|plated|bright|\bplain\b|black|phosphat|\bbzp\b|\byzp\b")


@dataclass(frozen=True, kw_only=True, slots=True)
class Nail:
    """A nail by its penny size; what no source prints for it is None. Counts differ between sources."""

    kind: str
    penny_size: str
    length_in: Decimal | None
    shank_diameter_in: Decimal | None
    count_per_lb_low: int | None
    count_per_lb_high: int | None
    source: str


def screw_diameter_in(gauge: int) -> Decimal:
    """Return the nominal shank diameter of a wood screw in inches: 0.060 + 0.013 x gauge, for gauges 0 to 24.

    Source: GNU Units 3.22 (screwgauge, after the ASME B18.6.1 and B18.6.3 tables).
    """
    if not _SMALLEST_GAUGE <= gauge <= _LARGEST_GAUGE:
        raise ValueError(f"there is no wood screw of gauge {gauge}; write a gauge from 0 to 24, such as 8 or 10")
    return Decimal("0.060") + Decimal("0.013") * gauge


def minimum_penetration_in(gauge: int) -> Decimal:
    """Return how deep a wood screw must reach into the piece that holds it, in inches, tip included: 6 diameters.

    The least for a joint that carries a computed load; older editions asked 10 diameters for the full value (from
    memory). Source: AWC NDS 2018, clause 12.1.5.6, as implemented in the open-source xc finite element library.
    """
    return 6 * screw_diameter_in(gauge)


def find_nail(kind: str, penny_size: str) -> Nail | None:
    """Return the published figures of a `common` or `finishing` nail of a size like `8d`; None where there are none."""
    return _nails().get((kind, penny_size))


def corrosion_note(species: str, material: str) -> str | None:
    """Return a warning where a fastener's material does not suit the wood, None where nothing is known against it.

    Plain steel stains woods rich in tannin blue-black; electroplated zinc is thin and soon gives way (from memory).
    Preservative-treated wood wants hot-dip galvanizing, and aluminum is kept off copper-treated wood. A coating by its
    trade name is judged only by the metal named with it.
    Sources: USDA FPL Lab Notes quoting the Wood Handbook; USDA Forest Service T&D publication 0677-2809. Stainless or
    hot-dip galvanized as the choice for tannin-rich wood: USDA FPL finishing guidance, from memory.
    """
    metal = material.casefold()
    treated = is_preservative_treated(species)
    if treated and re.search("alumin", metal):
        return (
            f"{species}: keep aluminum away from copper-treated wood; use stainless or hot-dip galvanized (ASTM A153)."
        )
    if _RESISTANT.search(metal) or not _BARE_OR_THIN_ZINC.search(metal):
        return None
    if treated:
        return f"{species}: treated wood attacks {material}; use hot-dip galvanized (ASTM A153) or stainless."
    if is_tannin_rich(species):
        return (
            f"{species}: tannin in the wood stains blue-black where it meets {material}; "
            "use stainless or hot-dip galvanized."
        )
    return None


@cache
def _nails() -> dict[tuple[str, str], Nail]:
    return {
        (row["kind"], row["penny_size"]): Nail(
            kind=row["kind"],
            penny_size=row["penny_size"],
            length_in=Decimal(row["length_in"]) if row["length_in"] else None,
            shank_diameter_in=Decimal(row["shank_diameter_in"]) if row["shank_diameter_in"] else None,
            count_per_lb_low=int(row["count_per_lb_low"]) if row["count_per_lb_low"] else None,
            count_per_lb_high=int(row["count_per_lb_high"]) if row["count_per_lb_high"] else None,
            source=row["source"],
        )
        for row in read_table("nails.csv")
    }
