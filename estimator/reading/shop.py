"""The shop's settings: what its saw takes, what it adds, and how it asks for money."""

import os
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Literal, get_args

from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.asking import Overhead, Profit, Tax, read_overhead, read_profit, read_step, read_tax
from estimator.reading.build import (
    CONSUMABLE_COLUMNS,
    LABOUR_COLUMNS,
    ORDER_DRIVERS,
    UNITS,
    ConsumableUse,
    Operation,
    read_consumable,
    read_operation,
)
from estimator.reading.fields import Fields, name_key
from estimator.reading.finish_steps import METHODS
from estimator.reading.lists import read_list
from estimator.reading.sanding import SANDING_SETTINGS, SandingSettings, read_sanding_settings
from estimator.reading.settings import Settings
from estimator.reading.suppliers import SupplierChoice, parse_currency, read_supplier_choice
from estimator.units import length_text, parse_length

SHOP_FILE = "shop.toml"
STOCK_FILE = "stock.csv"
KINDS = ("lumber", "hardware", "finish", "consumables")
WIDEST_KERF_IN = Fraction(1, 2)  # common practice, no source
WIDEST_EDGE_TRIM_IN = Fraction(1)  # that a bare number may stand for; common practice, no source
# What surfacing both sides takes off a 4/4 board, 1 in to 13/16 in (NHLA standard thicknesses, hardwood_thickness.csv).
PLANED_OFF_IN = Fraction(3, 16)
EXTRA_LENGTH_IN, EXTRA_WIDTH_IN = Fraction(1), Fraction(1, 4)  # common practice, no source
JUMP_PERCENT = Decimal(25)  # by which a price changes seldom from one list to the next; common practice, no source
SIDES = ("low", "middle", "high")
MOST_THIRST_OF_END_GRAIN = 10  # times what a face takes; a slip of the keyboard beyond that; common sense, no source
STOCK_VALUES = ("free", "cost", "set")
Preference = Literal["one board for matching parts", "fewest set-ups", "longest left-over", "fewest boards"]
PREFERENCES: tuple[Preference, ...] = get_args(Preference)

_KNOWN: dict[str, tuple[str, ...]] = {
    "": ("name", "address", "contact", "currency", "unit", "price_tables", "stock"),
    "cutting": (
        "kerf",
        "rip_kerf",
        "end_trim",
        "edge_trim",
        "usable_offcut",
        "spare_boards_percent",
        "spare_boards_at_least",
        "prefer",
        "stock_value",
    ),
    "rough_lumber": ("extra_length", "extra_width", "extra_thickness"),
    "random_lumber": ("extra_length", "extra_width"),
    "yield_percent": (),
    "fasteners": ("spare_percent", "spare_at_least"),
    "finish": ("cover", "end_grain_factor"),
    "loss_percent": METHODS,
    "loss_source": METHODS,
    "client_pays": KINDS,
    "overhead": ("percent_of_labour", "per_labour_hour"),
    "profit": ("margin_percent", "markup_percent"),
    "price": ("round_up_to", "valid_days", "deposit_percent"),
    "tax": ("name", "percent", "rounded_per"),
    "prices": ("stale_after_days", "jump_percent"),
    "suppliers": ("choose", "preferred"),
    "compare": ("quantities",),
    "quote": ("terms",),
    **SANDING_SETTINGS,
}


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Spares:
    """Spare fasteners: a share of the need, and never fewer than so many of each."""

    percent: Decimal
    at_least: int


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishSettings:
    """Which end of a spreading-rate range the cans must cover, what each method loses, and how thirsty end grain is.

    `loss_source` says where a loss comes from. The area of ends counts `end_grain_factor` times.
    """

    cover: str
    loss_percent: dict[str, Decimal]
    loss_source: dict[str, str]
    end_grain_factor: Decimal = Decimal(1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Shop:
    """The settings of one shop."""

    folder: Path
    price_tables: Path
    stock_name: str
    name: str
    address: tuple[str, ...]
    contact: str
    currency: Currency
    unit: str
    saw: SawSettings
    rough_lumber: RoughLumber
    random_lumber: RandomLumber
    spares: Spares
    finish: FinishSettings
    client_pays_bought: dict[str, bool]
    overhead: Overhead
    profit: Profit
    round_up_to: Decimal
    valid_days: int
    deposit_percent: Decimal
    tax: Tax
    stale_after_days: int
    compare_quantities: tuple[int, ...]
    terms: tuple[str, ...]
    labour: tuple[Operation, ...]
    sanding: SandingSettings
    supplier_choice: SupplierChoice
    consumables: tuple[ConsumableUse, ...] = ()
    jump_percent: Decimal = JUMP_PERCENT

    @property
    def stock_path(self) -> Path:
        """The list of the boards on hand; it need not be there."""
        return self.folder / self.stock_name


def find_shop(start: Path) -> Path | None:
    """Return the shop settings that hold for a folder: shop.toml in it, or in the nearest folder above."""
    for folder in (start, *start.parents):
        if (folder / SHOP_FILE).is_file():
            return folder / SHOP_FILE
    return None


def read_shop(path: Path, findings: Findings) -> Shop:
    """Return the settings in a shop.toml; faults go to `findings`."""
    settings = Settings(path, findings)
    settings.check_names(_KNOWN)
    top = settings.table()
    unit = top.choice("unit", UNITS, stand_in="")
    labour_list, consumable_list = path.parent / "shop_labour.csv", path.parent / "shop_consumables.csv"
    price = settings.table("price")
    currency = top.read("currency", parse_currency, Currency(code="USD"))
    return Shop(
        folder=path.parent,
        price_tables=_price_tables(top, path.parent),
        stock_name=_stock_name(top, path.parent),
        name=top.text("name"),
        address=settings.texts("", "address"),
        contact=top.text("contact", blank=""),
        currency=currency,
        unit=unit,
        saw=_saw(settings, unit),
        rough_lumber=_rough_lumber(settings.table("rough_lumber"), unit),
        random_lumber=_random_lumber(settings, unit),
        spares=_spares(settings.table("fasteners")),
        finish=_finish(settings),
        client_pays_bought=_client_pays(settings.table("client_pays")),
        overhead=read_overhead(settings.table("overhead")),
        profit=read_profit(settings.table("profit")),
        round_up_to=read_step(price, currency),
        valid_days=price.count("valid_days", high=730),
        deposit_percent=price.number("deposit_percent", high=100, blank=Decimal(0)),
        tax=read_tax(settings.table("tax")),
        stale_after_days=settings.table("prices").count("stale_after_days", high=3650),
        compare_quantities=_quantities(settings),
        terms=settings.texts("quote", "terms"),
        labour=tuple(read_operation(row, ORDER_DRIVERS) for row in read_list(labour_list, LABOUR_COLUMNS, findings))
        if labour_list.exists()
        else (),
        sanding=read_sanding_settings(settings),
        supplier_choice=read_supplier_choice(settings),
        consumables=tuple(
            read_consumable(row, ORDER_DRIVERS) for row in read_list(consumable_list, CONSUMABLE_COLUMNS, findings)
        )
        if consumable_list.exists()
        else (),
        jump_percent=settings.table("prices").number("jump_percent", high=1000, above=True, blank=JUMP_PERCENT),
    )


def _price_tables(top: Fields, folder: Path) -> Path:
    """Return the folder of the price tables, as the settings name it from their own folder."""
    name = top.text("price_tables", blank="price_tables")
    if not os.path.isdir(folder / name):  # noqa: PTH112 - Path raises where a name is too long for a file
        top.fault("price_tables", f'"{name}" is no folder; put the price tables there, or name their folder here')
    return folder / name


def _stock_name(top: Fields, folder: Path) -> str:
    """Return the name of the list of boards on hand; one that the settings name must be there."""
    name = top.text("stock", blank=STOCK_FILE)
    if top.has("stock") and not os.path.isfile(folder / name):  # noqa: PTH113 - as above
        top.fault("stock", f'"{name}" is no file; put the list of boards on hand there, or take the setting out')
    return name


def _saw(settings: Settings, unit: str) -> SawSettings:
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


def _rough_lumber(extra: Fields, unit: str) -> RoughLumber:
    return RoughLumber(
        extra_length_in=extra.length("extra_length", unit=unit, blank=EXTRA_LENGTH_IN, may_be_zero=True),
        extra_width_in=extra.length("extra_width", unit=unit, blank=EXTRA_WIDTH_IN, may_be_zero=True),
        extra_thickness_in=extra.length("extra_thickness", unit=unit, blank=PLANED_OFF_IN, may_be_zero=True),
    )


def _random_lumber(settings: Settings, unit: str) -> RandomLumber:
    extra, shares = settings.table("random_lumber"), settings.table("yield_percent")
    return RandomLumber(
        extra_length_in=extra.length("extra_length", unit=unit, blank=EXTRA_LENGTH_IN, may_be_zero=True),
        extra_width_in=extra.length("extra_width", unit=unit, blank=EXTRA_WIDTH_IN, may_be_zero=True),
        yield_percent={name_key(grade): shares.number(grade, high=100, above=True) for grade in shares.texts},
    )


def _spares(table: Fields) -> Spares:
    return Spares(
        percent=table.number("spare_percent", high=100), at_least=table.count("spare_at_least", low=0, high=1000)
    )


def _finish(settings: Settings) -> FinishSettings:
    finish, loss, source = settings.table("finish"), settings.table("loss_percent"), settings.table("loss_source")
    return FinishSettings(
        cover=finish.choice("cover", SIDES, blank="low"),
        loss_percent={method: loss.number(method, high=95) for method in METHODS if loss.has(method)},
        loss_source={method: source.text(method, blank="shop setting") for method in METHODS},
        end_grain_factor=finish.number("end_grain_factor", low=1, high=MOST_THIRST_OF_END_GRAIN, blank=Decimal(1)),
    )


def _client_pays(table: Fields) -> dict[str, bool]:
    return {kind: table.choice(kind, ("bought", "used"), blank="bought") == "bought" for kind in KINDS}


def _quantities(settings: Settings) -> tuple[int, ...]:
    """Return the quantities to compare, rising and with 1, which the others are compared with."""
    found = {1}
    for text in settings.texts("compare", "quantities") or ("1", "2", "4", "6", "12", "24"):
        if text.isdecimal() and len(text) < 6 and 1 <= int(text) <= 10_000:
            found.add(int(text))
        else:
            message = f'"{text}" is not a quantity; write whole numbers, like quantities = [1, 4, 12]'
            settings.findings.fault(settings.at("quantities", "compare"), message, "quantities")
    return tuple(sorted(found))
