"""An order: one or more builds with quantities, the shop that makes them and the prices it pays."""

import os
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from estimator.errors import EstimatorError, Findings, Notice
from estimator.reading.build import BUILD_FILE, Build, read_build
from estimator.reading.fields import Fields, name_key
from estimator.reading.lists import shown_path
from estimator.reading.prices import PriceTables, read_price_tables
from estimator.reading.settings import Settings
from estimator.reading.shop import SHOP_FILE, Shop, find_shop, read_shop
from estimator.reading.stock import StockRow, check_stock, read_stock

ORDER_FILE = "order.toml"


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderedBuild:
    """A build and how many of it are ordered."""

    build: Build
    quantity: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """All that an estimate is made from, read and checked."""

    title: str
    client: str
    client_address: tuple[str, ...]
    reference: str
    day: date
    items: tuple[OrderedBuild, ...]
    shop: Shop
    prices: PriceTables
    stock: tuple[StockRow, ...]
    notices: tuple[Notice, ...]

    @property
    def is_choosing_suppliers(self) -> bool:
        """Whether it can matter who is visited: visits cost something, there are minimum orders, or the shop's rule."""
        asking = any(one.visit_cost or one.minimum_order for one in self.prices.suppliers)
        return asking or self.shop.supplier_choice.choose != "cheapest"


def read_order(path: Path, *, today: date, quantity: int | None = None) -> Order:
    """Return the order in a folder or file: an order.toml, or one build with a quantity (1 where none is given).

    Raises EstimatorError with every fault of every file.
    """
    findings = Findings()
    if not path.exists():
        raise EstimatorError.single(
            shown_path(path), "is not there", "name the folder of an order or a build, as seen from where you stand"
        )
    folder = path if path.is_dir() else path.parent
    is_order = path.name == ORDER_FILE if path.is_file() else (folder / ORDER_FILE).is_file()
    if not is_order and not (folder / BUILD_FILE).is_file():
        raise EstimatorError.single(
            shown_path(path), "holds no order and no build", f"name a folder with {ORDER_FILE} or {BUILD_FILE} in it"
        )
    shop_path = find_shop(folder.resolve())
    if shop_path is None:
        raise EstimatorError.single(
            shown_path(folder), f"has no {SHOP_FILE} in it or above it", "put the shop's settings there"
        )
    shop = read_shop(shop_path, findings)
    prices = read_price_tables(shop, findings)
    stock = read_stock(shop, prices.lumber, findings)
    order = (
        _ordered(folder / ORDER_FILE, shop, prices, today, findings)
        if is_order
        else _single(folder, shop, prices, today, quantity or 1, findings)
    )
    parts = [part for item in order.items for part in item.build.parts]
    check_stock(stock, parts, prices.lumber, shop.saw.stock_value, findings)
    findings.raise_faults()
    return replace(order, stock=stock, notices=tuple(findings.notices))


def only_build(order: Order, item: OrderedBuild, quantity: int) -> Order:
    """Return the order as if only so many of one of its builds were ordered."""
    return replace(order, items=(replace(item, quantity=quantity),))


def _single(folder: Path, shop: Shop, prices: PriceTables, today: date, quantity: int, findings: Findings) -> Order:
    build = read_build(folder, findings)
    return Order(
        title=build.name,
        client="",
        client_address=(),
        reference="",
        day=today,
        items=(OrderedBuild(build=build, quantity=quantity),),
        shop=shop,
        prices=prices,
        stock=(),
        notices=(),
    )


def _ordered(path: Path, shop: Shop, prices: PriceTables, today: date, findings: Findings) -> Order:
    settings = Settings(path, findings)
    settings.check_names(
        {"": ("title", "client", "client_address", "reference", "date"), "builds": ("folder", "quantity")}
    )
    top = settings.table()
    entries = settings.tables("builds")
    if not entries and settings.readable and "builds" not in settings.values:
        findings.fault(settings.origin, 'names no builds; write [[builds]] with folder = "..." and quantity = 1')
    ordered = [(entry, item) for entry in entries if (item := _ordered_build(entry, path.parent, findings))]
    _check_names_differ(ordered)
    return Order(
        title=top.text("title", blank=path.parent.name),
        client=top.text("client", blank=""),
        client_address=settings.texts("", "client_address"),
        reference=top.text("reference", blank=""),
        day=top.day("date", blank=today),
        items=tuple(item for _, item in ordered),
        shop=shop,
        prices=prices,
        stock=(),
        notices=(),
    )


def _ordered_build(entry: Fields, folder: Path, findings: Findings) -> OrderedBuild | None:
    name, quantity = entry.text("folder"), entry.count("quantity", high=10_000)
    if not entry.has("folder"):
        return None
    if not os.path.isfile(folder / name / BUILD_FILE):  # noqa: PTH113 - Path raises where a name is too long for a file
        entry.fault("folder", f'"{name}" holds no {BUILD_FILE}; name the folder of a build, as seen from this file')
        return None
    return OrderedBuild(build=read_build(folder / name, findings), quantity=quantity)


def _check_names_differ(ordered: list[tuple[Fields, OrderedBuild]]) -> None:
    """Note builds of one name: the quote could not tell them apart."""
    seen: set[str] = set()
    for entry, item in ordered:
        name = name_key(item.build.name)
        if name and name in seen:
            remedy = f"add the quantities up, or give one another name in its {BUILD_FILE}"
            entry.fault("folder", f'orders "{item.build.name}" a second time; {remedy}')
        seen.add(name)
