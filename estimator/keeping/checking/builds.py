"""The builds of a shop: all folders below it with a build, unless a nearer shop has them."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import Findings
from estimator.reading.build import BUILD_FILE, Build, read_build
from estimator.reading.order import Order, OrderedBuild
from estimator.reading.prices import PriceTables
from estimator.reading.shop import SHOP_FILE, Shop
from estimator.reading.stock import read_stock

MOST_FOLDERS = 10_000  # that are looked into: a shop.toml may lie at the top of all one has; common sense, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class Unreadable:
    """A build, or the shop's list of boards on hand, that has so many faults."""

    path: Path
    faults: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ShopBuilds:
    """The builds of a shop that can be read, and what cannot; `is_all` unless there are too many folders to look at."""

    builds: tuple[Build, ...]
    unreadable: tuple[Unreadable, ...]
    is_all: bool


def read_builds(shop: Shop, given: Path) -> ShopBuilds:
    """Return the builds below a shop's folder, and below the folder given, each with its lists."""
    builds, unreadable = [], []
    folders, is_all = build_folders((shop.folder, given))
    for folder in folders:
        findings = Findings()
        build = read_build(folder, findings)
        if findings.faults:
            unreadable.append(_unreadable(folder, findings))
        else:
            builds.append(build)
    return ShopBuilds(builds=tuple(builds), unreadable=tuple(unreadable), is_all=is_all)


def build_folders(roots: tuple[Path, ...]) -> tuple[tuple[Path, ...], bool]:
    """Return the folders with a build, and whether all were looked into.

    Hidden folders and links are passed over, and folders with settings of their own belong to another shop.
    """
    looked_into: dict[Path, bool] = {}
    for root in roots:
        for folder, names in _folders(root.resolve()):
            if len(looked_into) >= MOST_FOLDERS:
                return _with_build(looked_into), False
            looked_into[folder] = BUILD_FILE in names
    return _with_build(looked_into), True


def _with_build(looked_into: Mapping[Path, bool]) -> tuple[Path, ...]:
    return tuple(folder for folder, has_build in looked_into.items() if has_build)


def _folders(root: Path) -> Iterator[tuple[Path, list[str]]]:
    """Yield a folder and those below it that are of the same shop, with the names of their files, in order of name."""
    for folder, below, names in os.walk(root):
        if SHOP_FILE in names and Path(folder) != root:
            below.clear()
            continue
        below[:] = sorted(name for name in below if not name.startswith("."))
        yield Path(folder), names


def order_of_all(builds: ShopBuilds, tables: PriceTables, shop: Shop, today: date) -> tuple[Order, list[Unreadable]]:
    """Return one of each build as one order, with the boards on hand, and the list of these where it cannot be read."""
    findings = Findings()
    stock = read_stock(shop, tables.lumber, findings)
    order = Order(
        title="",
        client="",
        client_address=(),
        reference="",
        day=today,
        items=tuple(OrderedBuild(build=build, quantity=1) for build in builds.builds),
        shop=shop,
        prices=tables,
        stock=() if findings.faults else stock,
        notices=(),
    )
    return order, [_unreadable(shop.stock_path, findings)] if findings.faults else []


def _unreadable(path: Path, findings: Findings) -> Unreadable:
    return Unreadable(path=path, faults=len(dict.fromkeys(findings.faults)))
