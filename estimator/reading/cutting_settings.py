"""What the saw and the plane take away, and by what one of two cutting plans is chosen: settings of the shop."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, get_args

from estimator.reading.fields import Fields, name_key
from estimator.reading.settings import Settings
from estimator.units import length_text, parse_length

WIDEST_KERF_IN = Fraction(1, 2)  # common practice, no source
WIDEST_EDGE_TRIM_IN = Fraction(1)  # that a bare number may stand for; common practice, no source
# What surfacing both sides takes off a 4/4 board, 1 in to 13/16 in (NHLA standard thicknesses, hardwood_thickness.csv).
PLANED_OFF_IN = Fraction(3, 16)
EXTRA_LENGTH_IN, EXTRA_WIDTH_IN = Fraction(1), Fraction(1, 4)  # common practice, no source
STOCK_VALUES = ("free", "cost", "set")
Preference = Literal["one board for matching parts", "fewest set-ups", "longest left-over", "fewest boards"]
PREFERENCES: tuple[Preference, ...] = get_args(Preference)


@dataclass(frozen=True, kw_only=True, slots=True)
class SawSettings:
    """What the saw takes away and what is worth keeping, in inches, and how boards are chosen.

    `edge_trim_in` comes off a board's width before it is ripped into several strips. Spare boards are a share of those
    bought of a section, and never fewer than so many. `prefer` says by what, in order of importance, one of two plans
    of one cost is chosen. `stock_value` is what a board on hand counts: nothing, its share of the cheapest price, or
    what its own row says.
    """

    kerf_in: Fraction
    rip_kerf_in: Fraction
    end_trim_in: Fraction
    usable_offcut_in: Fraction
    edge_trim_in: Fraction = Fraction(0)
    spare_boards_percent: Decimal = Decimal(0)
    spare_boards_at_least: int = 0
    prefer: tuple[Preference, ...] = PREFERENCES
    stock_value: str = "free"


@dataclass(frozen=True, kw_only=True, slots=True)
class RoughLumber:
    """Allowances for parts milled from rough boards of a fixed length: extra on each piece, in inches."""

    extra_length_in: Fraction
    extra_width_in: Fraction
    extra_thickness_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class RandomLumber:
    """Allowances for lumber of random length or width: extra on each piece, and the shop's own yields by grade."""

    extra_length_in: Fraction
    extra_width_in: Fraction
    yield_percent: dict[str, Decimal]


def read_saw(settings: Settings, unit: str) -> SawSettings:
    """Return what the saw takes away, and how boards are chosen; bare numbers are in the unit of the shop."""
    saw = settings.table("cutting")
    return SawSettings(
        kerf_in=_kerf(saw, "kerf", unit),
        rip_kerf_in=_kerf(saw, "rip_kerf", unit),
        end_trim_in=saw.length("end_trim", unit=unit, may_be_zero=True),
        usable_offcut_in=saw.length("usable_offcut", unit=unit, may_be_zero=True),
        edge_trim_in=_edge_trim(saw, unit),
        spare_boards_percent=saw.number("spare_boards_percent", high=100, blank=Decimal(0)),
        spare_boards_at_least=saw.count("spare_boards_at_least", low=0, high=1000, blank=0),
        prefer=_preferences(settings),
        stock_value=saw.choice("stock_value", STOCK_VALUES, blank="free"),
    )


def _kerf(table: Fields, name: str, unit: str) -> Fraction:
    return table.read(name, lambda text: _small_length(text, unit, WIDEST_KERF_IN), WIDEST_KERF_IN)


def _edge_trim(table: Fields, unit: str) -> Fraction:
    def parse(text: str) -> Fraction:
        return _small_length(text, unit, WIDEST_EDGE_TRIM_IN, may_be_zero=True)

    return table.read("edge_trim", parse, Fraction(0), blank=Fraction(0))


def _small_length(text: str, unit: str, widest_in: Fraction, *, may_be_zero: bool = False) -> Fraction:
    """Return a width; a metric one in an inch shop, `3.2` without its unit, must not pass for inches."""
    length_in = parse_length(text, unit=unit, may_be_zero=may_be_zero)
    if length_in > widest_in:
        wide = length_text(length_in, unit)
        raise ValueError(f'"{text}" would be {wide} wide; write it with its unit, like 1/8 in or 3.2 mm')
    return length_in


def _preferences(settings: Settings) -> tuple[Preference, ...]:
    """Return by what a plan is chosen among those of one cost, the most important first; all where none is written."""
    found: list[Preference] = []
    for text in settings.texts("cutting", "prefer") or PREFERENCES:
        known = next((one for one in PREFERENCES if name_key(one) == name_key(text)), None)
        if known is None or known in found:
            why = "is not known here" if known is None else "stands there twice"
            message = f'"{text}" {why}; write some of these, each once: {", ".join(PREFERENCES)}'
            settings.findings.fault(settings.at("prefer", "cutting"), message, "prefer")
        else:
            found.append(known)
    return tuple(found)


def read_rough_lumber(extra: Fields, unit: str) -> RoughLumber:
    """Return the allowances for parts milled from rough boards."""
    return RoughLumber(
        extra_length_in=extra.length("extra_length", unit=unit, blank=EXTRA_LENGTH_IN, may_be_zero=True),
        extra_width_in=extra.length("extra_width", unit=unit, blank=EXTRA_WIDTH_IN, may_be_zero=True),
        extra_thickness_in=extra.length("extra_thickness", unit=unit, blank=PLANED_OFF_IN, may_be_zero=True),
    )


def read_random_lumber(settings: Settings, unit: str) -> RandomLumber:
    """Return the allowances for lumber of random length or width."""
    extra, shares = settings.table("random_lumber"), settings.table("yield_percent")
    return RandomLumber(
        extra_length_in=extra.length("extra_length", unit=unit, blank=EXTRA_LENGTH_IN, may_be_zero=True),
        extra_width_in=extra.length("extra_width", unit=unit, blank=EXTRA_WIDTH_IN, may_be_zero=True),
        yield_percent={name_key(grade): shares.number(grade, high=100, above=True) for grade in shares.texts},
    )
