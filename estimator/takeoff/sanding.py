"""Sanding: the area that each grit of each pass goes over, the time that takes and the discs it makes dull.

Before the finish whole surfaces are sanded, with what joints hide later: parts are commonly sanded before they are
assembled (common practice, no source). Between coats a side is sanded as it is coated, once for each coat after its
first.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.errors import Findings
from estimator.measures import measures
from estimator.money import apportion, rounded
from estimator.reading.build import Build
from estimator.reading.fields import name_key
from estimator.reading.order import OrderedBuild
from estimator.reading.parts import Coated, Part
from estimator.reading.sanding import BEFORE_FINISH, GritSetting, SandingPass, SandingSettings
from estimator.reading.shop import Shop
from estimator.solid import Surfaces, surfaces
from estimator.takeoff.hidden import hidden_ft2
from estimator.takeoff.work import ConsumableNeed
from estimator.units import M2_PER_FT2

AREA_DIGITS = 4
MINUTE_DIGITS = 2
MINUTES_EACH_DIGITS = 6  # of what one ft2 or m2 takes: minutes written for the other of the two have no end
# Two faces, which a step or a pass that names one face takes from the first on, both edges, both ends.
SIDES = (("faces", 1), ("faces", 2), ("edges", 1), ("ends", 1))


@dataclass(frozen=True, kw_only=True, slots=True)
class SandedArea:
    """What one grit of one pass sands on all units of a build, in the shop's `area_unit`, ft2 or m2.

    Areas are those of a unit to the ten-thousandth, times the units, so that minutes and discs add up in decimals.
    `minutes_each` is for a ft2 or m2 of face; edges and ends count `edge_factor` times.
    """

    build: str
    sanding: SandingPass
    grit: GritSetting
    area_unit: str
    faces: Decimal
    edges: Decimal
    ends: Decimal
    minutes_each: Decimal
    edge_factor: Decimal
    area_per_piece: Fraction

    @property
    def area(self) -> Decimal:
        """The area that is sanded."""
        return self.faces + self.edges + self.ends

    @property
    def counted(self) -> Decimal:
        """The area of face that would take as long."""
        return self.faces + self.edge_factor * (self.edges + self.ends)

    @property
    def minutes(self) -> Decimal:
        """The minutes it takes, rounded as they are printed and paid."""
        return rounded(self.counted * self.minutes_each, MINUTE_DIGITS)

    @property
    def pieces(self) -> Fraction:
        """The discs or sheets it makes dull."""
        return Fraction(self.area) / self.area_per_piece


@dataclass(frozen=True, kw_only=True, slots=True)
class SandedGrit:
    """What one grit sands in all passes of an order."""

    setting: GritSetting
    passes: tuple[SandedArea, ...]

    @property
    def area(self) -> Decimal:
        """The area it goes over, in the shop's unit."""
        return sum((one.area for one in self.passes), Decimal(0))

    @property
    def minutes(self) -> Decimal:
        """The minutes it takes."""
        return sum((one.minutes for one in self.passes), Decimal(0))

    @property
    def pieces(self) -> Fraction:
        """The discs or sheets it makes dull."""
        return sum((one.pieces for one in self.passes), Fraction(0))


def by_grit(sanded: Iterable[SandedArea]) -> tuple[SandedGrit, ...]:
    """Return what each grit sands, the coarsest first."""
    passes: dict[int, list[SandedArea]] = {}
    for one in sanded:
        passes.setdefault(one.grit.grit, []).append(one)
    return tuple(SandedGrit(setting=passes[grit][0].grit, passes=tuple(passes[grit])) for grit in sorted(passes))


def sanded_areas(items: tuple[OrderedBuild, ...], shop: Shop, findings: Findings) -> tuple[SandedArea, ...]:
    """Return what each grit sands, in the order of the lists; a grit that the shop has no setting for is a fault."""
    found: list[SandedArea] = []
    for item in items:
        for sanding in item.build.sanding:
            area = _sanded_area(item.build, sanding)
            if not any((area.faces_ft2, area.edges_ft2, area.ends_ft2)):
                findings.notice(sanding.origin, _nothing_text(sanding))
            found += [_of_grit(item, sanding, area, grit, shop) for grit in _grits(sanding, shop.sanding, findings)]
    return tuple(one for one in found if one.area)


def disc_needs(sanded: Iterable[SandedArea]) -> tuple[ConsumableNeed, ...]:
    """Return the discs and sheets that are needed, to the ten-thousandth of a piece over all builds."""
    pieces: dict[str, dict[str, Fraction]] = {}
    first: dict[str, GritSetting] = {}
    for one in sanded:
        key = name_key(one.grit.item)
        first.setdefault(key, one.grit)
        by_build = pieces.setdefault(key, {})
        by_build[one.build] = by_build.get(one.build, Fraction(0)) + one.pieces
    return tuple(
        ConsumableNeed(origin=first[key].origin, item=first[key].item, by_build=_in_decimals(by_build))
        for key, by_build in pieces.items()
    )


def _in_decimals(by_build: dict[str, Fraction]) -> tuple[tuple[str, Decimal], ...]:
    """Return pieces in decimals that add up to the rounded sum: three times 2/3 of a disc are 2 and not 2.0001."""
    whole = sum(by_build.values(), Fraction(0))
    shares = tuple(pieces / whole for pieces in by_build.values())
    return tuple(zip(by_build, apportion(rounded(whole, AREA_DIGITS), shares, AREA_DIGITS), strict=True))


def _grits(sanding: SandingPass, settings: SandingSettings, findings: Findings) -> list[GritSetting]:
    """Return the settings of a pass's grits; one that is missing is a fault."""
    if not settings.rate:
        findings.fault(
            sanding.origin,
            "shop.toml does not say what sanding is paid as; add a table [sanding] to it with rate, one of those in "
            "labour_rates.csv",
        )
    known = {setting.grit: setting for setting in settings.grits}
    for grit in sanding.grits:
        if grit not in known:
            findings.fault(
                sanding.origin,
                f"shop.toml does not say what grit {grit} takes; add a table [[sanding.grits]] to it with "
                f"grit = {grit}, item, area_per_piece and minutes_per_ft2 or minutes_per_m2",
                "grits",
            )
    return [known[grit] for grit in sanding.grits if grit in known]


def _nothing_text(sanding: SandingPass) -> str:
    if sanding.when == BEFORE_FINISH:
        return "names no surface and sands nothing; take the row out, or name some"
    return "sands nothing, for no surface that it names has a second coat; take the row out, or mend finish.csv"


def _of_grit(item: OrderedBuild, sanding: SandingPass, area: Surfaces, grit: GritSetting, shop: Shop) -> SandedArea:
    unit = shop.unit
    per_ft2 = Fraction(1) if unit == "in" else M2_PER_FT2

    def of_all(area_ft2: float) -> Decimal:
        return item.quantity * rounded(Fraction(area_ft2) * per_ft2, AREA_DIGITS)

    return SandedArea(
        build=item.build.name,
        sanding=sanding,
        grit=grit,
        area_unit=measures(unit).area,
        faces=of_all(area.faces_ft2),
        edges=of_all(area.edges_ft2),
        ends=of_all(area.ends_ft2),
        minutes_each=rounded(grit.minutes_per_ft2 / per_ft2, MINUTES_EACH_DIGITS),
        edge_factor=shop.sanding.edge_factor,
        area_per_piece=grit.area_per_piece_ft2 * per_ft2,
    )


def _sanded_area(build: Build, sanding: SandingPass) -> Surfaces:
    """Return the square feet that one grit of a pass sands on one unit."""
    area = dict.fromkeys(("faces", "edges", "ends"), 0.0)
    for part in build.parts:
        if not sanding.parts or name_key(part.name) in sanding.parts:
            for surface, number in SIDES:
                times = _times(build, part, sanding, surface, number)
                area[surface] += part.quantity * times * _side_ft2(build, part, sanding, surface)
    return Surfaces(faces_ft2=area["faces"], edges_ft2=area["edges"], ends_ft2=area["ends"])


def _times(build: Build, part: Part, sanding: SandingPass, surface: str, number: int) -> int:
    """Return how many times a pass sands a side of a part: once, or for each coat of it after the first."""
    if _sides_of(sanding.surfaces)[surface] < number:
        return 0
    if sanding.when == BEFORE_FINISH:
        return 1
    coated = _sides_of(part.coated)[surface] >= number
    coats = sum(step.coats for step in build.finish if step.covers(part) and _sides_of(step.coated)[surface] >= number)
    return max(0, coats - 1) if coated else 0


def _sides_of(named: Coated) -> dict[str, int]:
    """Return how many sides of each kind are named, as SIDES counts them."""
    return {"faces": named.faces, "edges": int(named.edges), "ends": int(named.ends)}


def _side_ft2(build: Build, part: Part, sanding: SandingPass, surface: str) -> float:
    """Return the area of a side of one piece: a face, both edges or both ends; what joints hide is not coated."""
    whole = surfaces(part.shape)
    area_ft2 = {"faces": whole.faces_ft2, "edges": whole.edges_ft2, "ends": whole.ends_ft2}[surface]
    if sanding.when != BEFORE_FINISH and build.finish_after_assembly:
        area_ft2 -= hidden_ft2(build, part, surface)
    return max(0.0, area_ft2) / (2 if surface == "faces" else 1)
