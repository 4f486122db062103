"""The shop's settings: what its saw takes, what it adds, and how it asks for money."""

import os
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

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
from estimator.reading.cutting_settings import (
    RandomLumber,
    RoughLumber,
    SawSettings,
    read_random_lumber,
    read_rough_lumber,
    read_saw,
)
from estimator.reading.fields import Fields
from estimator.reading.finish_steps import METHODS
from estimator.reading.lists import read_list
from estimator.reading.sanding import SANDING_SETTINGS, SandingSettings, read_sanding_settings
from estimator.reading.settings import Settings
from estimator.reading.suppliers import SupplierChoice, parse_currency, read_supplier_choice

SHOP_FILE = "shop.toml"
STOCK_FILE = "stock.csv"
KINDS = ("lumber", "hardware", "finish", "consumables")
JUMP_PERCENT = Decimal(25)  # by which a price changes seldom from one list to the next; common practice, no source
SIDES = ("low", "middle", "high")
MOST_THIRST_OF_END_GRAIN = 10  # times what a face takes; a slip of the keyboard beyond that; common sense, no source

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
        saw=read_saw(settings, unit),
        rough_lumber=read_rough_lumber(settings.table("rough_lumber"), unit),
        random_lumber=read_random_lumber(settings, unit),
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
