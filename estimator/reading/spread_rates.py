"""How far a product goes: spreading rates, from the label or from its solids and the film they leave."""

from dataclasses import dataclass
from fractions import Fraction

from estimator.errors import Origin
from estimator.reading.fields import Fields
from estimator.reading.finish_steps import TEXTURES
from estimator.reading.lists import columns
from estimator.reading.trade_units import (
    DryFilm,
    SpreadRange,
    parse_dry_film,
    parse_spread,
)
from estimator.standards.coating import theoretical_rate_ft2_per_gal

SPREAD_COLUMNS = columns("product, texture, coat", "rate, volume_solids_percent, dry_film, source")
COATS = ("first", "further", "any")


@dataclass(frozen=True, kw_only=True, slots=True)
class SpreadRate:
    """How far a product goes on one texture, for its first coat, its further coats or any."""

    origin: Origin
    product: str
    texture: str
    coat: str
    spread: SpreadRange
    source: str


def spread_rate(row: Fields) -> SpreadRate:
    """Return a row of spread_rates.csv, checked: a rate of a label, or solids and the film they leave."""
    spread, theory = _spread_and_theory(row)
    return SpreadRate(
        origin=row.origin,
        product=row.text("product"),
        texture=row.choice("texture", TEXTURES),
        coat=row.choice("coat", COATS),
        spread=spread,
        source="; ".join(filter(None, (theory, row.text("source", blank="" if theory else "no source given")))),
    )


def _spread_and_theory(row: Fields) -> tuple[SpreadRange, str]:
    """Return the rate of a row, and in words where it is worked out from solids and film; it has one or the other."""
    stand_in = SpreadRange(low_ft2_per_gal=Fraction(1), high_ft2_per_gal=Fraction(1))
    measured = tuple(filter(row.has, ("volume_solids_percent", "dry_film")))
    if row.has("rate") and measured:
        row.fault(
            measured[0], "stands beside a rate; keep the rate of the label, or volume_solids_percent and dry_film"
        )
        return stand_in, ""
    if measured:
        return _theoretical_spread(row)
    if not row.has("rate"):
        row.fault("rate", "is missing; fill it in, or volume_solids_percent and dry_film")
        return stand_in, ""
    return row.read("rate", lambda text: parse_spread(text, decimal_comma=row.decimal_comma), stand_in), ""


def _theoretical_spread(row: Fields) -> tuple[SpreadRange, str]:
    """Return how far volume solids go in a film; a film has no range, so that low and high are one."""
    solids_percent = row.number("volume_solids_percent", high=100, above=True)
    film = row.read(
        "dry_film",
        lambda text: parse_dry_film(text, decimal_comma=row.decimal_comma),
        DryFilm(text="", thickness_mil=Fraction(1)),
    )
    rate = Fraction(
        theoretical_rate_ft2_per_gal(
            volume_solids_percent=float(solids_percent), dry_film_mil=float(film.thickness_mil)
        )
    )
    theory = f"theoretical, from {solids_percent} % solids by volume in a dry film of {film.text}, so low = high"
    return SpreadRange(low_ft2_per_gal=rate, high_ft2_per_gal=rate), theory
