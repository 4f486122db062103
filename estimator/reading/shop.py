"""The shop's settings: what its saw takes, what it adds, and how it asks for money."""

import os
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings
from estimator.money import SYMBOLS, Currency
from estimator.reading.build import LABOUR_COLUMNS, METHODS, ORDER_DRIVERS, UNITS, Operation, read_operation
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import read_list
from estimator.reading.settings import Settings
from estimator.units import length_text, parse_length

SHOP_FILE = "shop.toml"
KINDS = ("lumber", "hardware", "finish", "consumables")
WIDEST_KERF_IN = Fraction(1, 2)  # common practice, no source
SIDES = ("low", "middle", "high")

_KNOWN: dict[str, tuple[str, ...]] = {
    "": ("name", "address", "contact", "currency", "unit", "price_tables"),
    "cutting": ("kerf", "rip_kerf", "end_trim", "usable_offcut"),
    "random_lumber": ("extra_length", "extra_width"),
    "yield_percent": (),
    "fasteners": ("spare_percent", "spare_at_least"),
    "finish": ("cover",),
    "loss_percent": METHODS,
    "client_pays": KINDS,
    "overhead": ("percent_of_labour", "per_labour_hour"),
    "profit": ("margin_percent", "markup_percent"),
    "price": ("round_up_to", "valid_days", "deposit_percent"),
    "tax": ("name", "percent", "rounded_per"),
    "prices": ("stale_after_days",),
    "compare": ("quantities",),
    "quote": ("terms",),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class SawSettings:
    """What the saw takes away and what is worth keeping, in inches."""

    kerf_in: Fraction
    rip_kerf_in: Fraction
    end_trim_in: Fraction
    usable_offcut_in: Fraction


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
    """Which end of a spreading-rate range the cans must cover, and what each method loses."""

    cover: str
    loss_percent: dict[str, Decimal]


@dataclass(frozen=True, kw_only=True, slots=True)
class Overhead:
    """Rent, power, insurance and the rest, charged on labour: a share of its cost, or an amount an hour."""

    percent_of_labour: Decimal | None
    per_labour_hour: Decimal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Profit:
    """Profit as a share of the price (margin) or of the cost (markup); exactly one is set."""

    margin_percent: Decimal | None
    markup_percent: Decimal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Tax:
    """A tax on the price; `rounded_per` says whether it is rounded on each line or on the invoice."""

    name: str
    percent: Decimal
    rounded_per: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Shop:
    """The settings of one shop."""

    folder: Path
    price_tables: Path
    name: str
    address: tuple[str, ...]
    contact: str
    currency: Currency
    unit: str
    saw: SawSettings
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
    labour_list = path.parent / "shop_labour.csv"
    price, saw = settings.table("price"), settings.table("cutting")
    currency = top.read("currency", _currency, Currency(code="USD"))
    return Shop(
        folder=path.parent,
        price_tables=_price_tables(top, path.parent),
        name=top.text("name"),
        address=settings.texts("", "address"),
        contact=top.text("contact", blank=""),
        currency=currency,
        unit=unit,
        saw=SawSettings(
            kerf_in=_kerf(saw, "kerf", unit),
            rip_kerf_in=_kerf(saw, "rip_kerf", unit),
            end_trim_in=saw.length("end_trim", unit=unit, may_be_zero=True),
            usable_offcut_in=saw.length("usable_offcut", unit=unit, may_be_zero=True),
        ),
        random_lumber=_random_lumber(settings, unit),
        spares=_spares(settings.table("fasteners")),
        finish=_finish(settings),
        client_pays_bought=_client_pays(settings.table("client_pays")),
        overhead=_overhead(settings.table("overhead")),
        profit=_profit(settings.table("profit")),
        round_up_to=_step(price, currency),
        valid_days=price.count("valid_days", high=730),
        deposit_percent=price.number("deposit_percent", high=100, blank=Decimal(0)),
        tax=_tax(settings.table("tax")),
        stale_after_days=settings.table("prices").count("stale_after_days", high=3650),
        compare_quantities=_quantities(settings),
        terms=settings.texts("quote", "terms"),
        labour=tuple(read_operation(row, ORDER_DRIVERS) for row in read_list(labour_list, LABOUR_COLUMNS, findings))
        if labour_list.exists()
        else (),
    )


def _price_tables(top: Fields, folder: Path) -> Path:
    """Return the folder of the price tables, as the settings name it from their own folder."""
    name = top.text("price_tables", blank="price_tables")
    if not os.path.isdir(folder / name):  # noqa: PTH112 - Path raises where a name is too long for a file
        top.fault("price_tables", f'"{name}" is no folder; put the price tables there, or name their folder here')
    return folder / name


def _currency(text: str) -> Currency:
    code = text.strip().upper()
    if len(code) != 3 or not code.isalpha():
        raise ValueError(f'"{text}" is not a currency; write its three letters, like {", ".join(list(SYMBOLS)[:3])}')
    return Currency(code=code)


def _kerf(table: Fields, name: str, unit: str) -> Fraction:
    """Return what a blade takes; a metric blade in an inch shop, `3.2` without its unit, must not pass for inches."""

    def parse(text: str) -> Fraction:
        kerf_in = parse_length(text, unit=unit)
        if kerf_in > WIDEST_KERF_IN:
            wide = length_text(kerf_in, unit)
            raise ValueError(f'"{text}" would be {wide} wide; write it with its unit, like 1/8 in or 3.2 mm')
        return kerf_in

    return table.read(name, parse, WIDEST_KERF_IN)


def _step(table: Fields, currency: Currency) -> Decimal:
    """Return what the price of one is rounded up to: a whole number of coins."""
    step = table.number("round_up_to", above=True)
    if step % currency.cent:
        table.fault("round_up_to", f'"{step}" is no whole number of coins; write {currency.cent} or a multiple of it')
    return step


def _random_lumber(settings: Settings, unit: str) -> RandomLumber:
    extra, shares = settings.table("random_lumber"), settings.table("yield_percent")
    return RandomLumber(
        extra_length_in=extra.length("extra_length", unit=unit, blank=Fraction(1), may_be_zero=True),
        extra_width_in=extra.length("extra_width", unit=unit, blank=Fraction(1, 4), may_be_zero=True),
        yield_percent={name_key(grade): shares.number(grade, high=100, above=True) for grade in shares.texts},
    )


def _spares(table: Fields) -> Spares:
    return Spares(
        percent=table.number("spare_percent", high=100), at_least=table.count("spare_at_least", low=0, high=1000)
    )


def _finish(settings: Settings) -> FinishSettings:
    loss = settings.table("loss_percent")
    return FinishSettings(
        cover=settings.table("finish").choice("cover", SIDES, blank="low"),
        loss_percent={method: loss.number(method, high=95) for method in METHODS if loss.has(method)},
    )


def _client_pays(table: Fields) -> dict[str, bool]:
    return {kind: table.choice(kind, ("bought", "used"), blank="bought") == "bought" for kind in KINDS}


def _one_of(table: Fields, first: str, second: str, high: int) -> tuple[Decimal | None, Decimal | None]:
    """Return two settings of which exactly one must be written."""
    if table.has(first) == table.has(second):
        table.fault(first, f'write either "{first}" or "{second}"{", not both" if table.has(first) else ""}')
    return (
        table.number(first, high=high) if table.has(first) else None,
        table.number(second, high=high) if table.has(second) else None,
    )


def _overhead(table: Fields) -> Overhead:
    percent, hourly = _one_of(table, "percent_of_labour", "per_labour_hour", 100_000)
    return Overhead(percent_of_labour=percent, per_labour_hour=hourly)


def _profit(table: Fields) -> Profit:
    margin, markup = _one_of(table, "margin_percent", "markup_percent", 1000)
    if margin is not None and margin >= 100:
        table.fault(
            "margin_percent",
            f'"{margin}" leaves nothing for the cost; a margin is a share of the price, so write less than 100',
        )
        margin = Decimal(0)
    return Profit(margin_percent=margin, markup_percent=markup)


def _tax(table: Fields) -> Tax:
    return Tax(
        name=table.text("name", blank="Tax"),
        percent=table.number("percent", high=100),
        rounded_per=table.choice("rounded_per", ("invoice", "line"), blank="invoice"),
    )


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
