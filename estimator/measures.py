"""The two systems of measures that figures are shown in; inside the program everything is in inches and gallons."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.units import IN3_PER_FT3, IN3_PER_M3, KG_PER_LB, L_PER_GAL, M2_PER_FT2, MM_PER_IN

Number = Fraction | Decimal | float


@dataclass(frozen=True, kw_only=True, slots=True)
class Measures:
    """Names of the units of one system, and how many of them one foot, square foot, gallon ... is."""

    length: str  # the unit of the lists, "in" or "mm"
    run: str
    area: str
    liquid: str
    weight: str
    rate: str
    per_inch: float
    per_foot: float
    per_ft2: float
    per_gal: float
    per_lb: float

    def length_of(self, length_in: Number) -> float:
        """Return a length in the unit of the lists."""
        return float(length_in) * self.per_inch

    def run_of(self, length_ft: Number) -> float:
        """Return running feet or metres."""
        return float(length_ft) * self.per_foot

    def area_of(self, area_ft2: Number) -> float:
        """Return square feet or square metres."""
        return float(area_ft2) * self.per_ft2

    def liquid_of(self, volume_gal: Number) -> float:
        """Return gallons or litres."""
        return float(volume_gal) * self.per_gal

    def weight_of(self, weight_lb: Number) -> float:
        """Return pounds or kilograms."""
        return float(weight_lb) * self.per_lb

    def rate_of(self, rate_ft2_per_gal: Number) -> float:
        """Return a spreading rate in ft2/gal or m2/L."""
        return float(rate_ft2_per_gal) * self.per_ft2 / self.per_gal


INCH = Measures(
    length="in",
    run="ft",
    area="ft2",
    liquid="gal",
    weight="lb",
    rate="ft2/gal",
    per_inch=1,
    per_foot=1,
    per_ft2=1,
    per_gal=1,
    per_lb=1,
)
METRIC = Measures(
    length="mm",
    run="m",
    area="m2",
    liquid="L",
    weight="kg",
    rate="m2/L",
    per_inch=float(MM_PER_IN),
    per_foot=float(MM_PER_IN * 12 / 1000),
    per_ft2=float(M2_PER_FT2),
    per_gal=float(L_PER_GAL),
    per_lb=float(KG_PER_LB),
)
M3_PER_FT3 = IN3_PER_FT3 / IN3_PER_M3


def measures(unit: str) -> Measures:
    """Return the system whose lists are in inches or in millimetres."""
    return INCH if unit == "in" else METRIC
