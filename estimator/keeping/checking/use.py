"""Which of the price tables the builds of a shop use, what they use that no table has, and what nothing uses.

All builds are taken off together, one of each: each item that is missing is then told once, however many ask for it.
Nothing is planned; which rows meet a need is asked where a quote asks it too.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import PurePath

from estimator.buying.cans import mixture_of
from estimator.buying.offers import stock_of
from estimator.buying.sets import two_part_offers
from estimator.buying.shopping import Need, needs_of, price_rows_of, products_of, title_of, without_other_prices
from estimator.costing.labour import rates_named
from estimator.errors import Findings, Notice, Origin
from estimator.keeping.checking.doubts import Suspect
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.sold import SOLD, ConsumablePrice, HardwarePrice, LumberPrice, SoldPrice
from estimator.takeoff.auxiliaries import AuxiliaryNeed, auxiliary_uses
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.hardware import HardwareNeed, hardware_title
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import take_off
from estimator.takeoff.work import ConsumableNeed, pooled

MOST_NAMED = 10  # goods of one table that are in no build

Names = Callable[[str], tuple[str, ...]]


@dataclass(frozen=True, kw_only=True, slots=True)
class TableUse:
    """What is asked for and not there, and a notice for each table with goods that nothing uses."""

    missing: tuple[Suspect, ...]
    unused: tuple[Notice, ...]


def table_use(order: Order) -> TableUse:
    """Return what the builds of an order, and the shop itself, use of the price tables and miss in them."""
    findings = Findings()
    takeoff = take_off(_with_woods_of_builds(order), findings)
    needs: tuple[Need, ...] = (*needs_of(takeoff), *_consumables(order))
    met = without_other_prices(order, needs)
    faults = {one.message: Suspect(origin=one.origin, tell=partial(str, one.message)) for one in findings.faults}
    return TableUse(
        missing=(*_missing_prices(needs, met, _names_in(order)), *faults.values(), *_missing_rates(order)),
        unused=(*_unused_goods(order, met), *_unused_of_small_tables(order, needs)),
    )


def _with_woods_of_builds(order: Order) -> Order:
    """Return an order with the lumber of its builds' species alone, for each build looks through all of it."""
    species = {name_key(part.species) for item in order.items for part in item.build.parts}
    lumber = tuple(row for row in order.prices.lumber if name_key(row.species) in species)
    return replace(order, prices=replace(order.prices, lumber=lumber))


def _consumables(order: Order) -> tuple[ConsumableNeed, ...]:
    """Return each consumable that a list or a setting names, whether one unit takes some of it or not."""
    uses = (*(use for item in order.items for use in item.build.consumables), *order.shop.consumables)
    named = (*((use.item, use.origin) for use in uses), *((one.item, one.origin) for one in order.shop.sanding.grits))
    return pooled(ConsumableNeed(origin=origin, item=item, by_build=()) for item, origin in named)


def _missing_prices(needs: Iterable[Need], met: Order, names: Names) -> Iterator[Suspect]:
    """Yield each need that no row of the tables meets, and no board on hand; `met` has the rows that meet some."""
    for need in needs:
        mixture = mixture_of(need) if isinstance(need, FinishNeed) else None
        if isinstance(need, FinishNeed) and mixture:
            findings = Findings()
            two_part_offers(need, mixture, met, findings)
            yield from (Suspect(origin=one.origin, tell=partial(str, one.message)) for one in findings.faults)
        elif not price_rows_of(need, met) and not (isinstance(need, LumberNeed) and stock_of(need, met)):
            yield Suspect(origin=_asked_at(need), tell=partial(_tell_missing, need, met, names))


def _asked_at(need: Need) -> Origin:
    match need:
        case LumberNeed():
            return need.pieces[0].part.origin
        case HardwareNeed():
            return need.uses[0].origin
        case FinishNeed():
            return need.coats[0].step.origin
        case AuxiliaryNeed():
            return need.uses[0].label.origin
        case ConsumableNeed():
            return need.origin


def _tell_missing(need: Need, order: Order, names: Names) -> str:
    title, table = title_of(need, order), _table_of(need)
    shown = title if isinstance(need, LumberNeed | HardwareNeed) else f'"{title}"'
    return f"{table}.csv has no price for {shown}{nearest(title, names(table))}"


def _table_of(need: Need) -> str:
    match need:
        case LumberNeed():
            return "lumber"
        case HardwareNeed():
            return "hardware"
        case ConsumableNeed():
            return "consumables"
        case _:
            return "finishes"


def _names_in(order: Order) -> Names:
    """Return what gives the names of the goods in a table, each once; they are gathered where some is missing."""

    @cache
    def names(table: str) -> tuple[str, ...]:
        goods = {_goods_of(row): row for row in _sold(order)[table]}
        return tuple(_title_of(row, order.shop.unit) for row in goods.values())

    return names


def _sold(order: Order) -> dict[str, Sequence[SoldPrice]]:
    prices = order.prices
    return dict(zip(SOLD, (prices.lumber, prices.hardware, prices.finishes, prices.consumables), strict=True))


def _goods_of(row: SoldPrice) -> Hashable:
    """Return what tells goods apart, whatever their lengths, packs and suppliers."""
    match row:
        case LumberPrice():
            return row.species, row.grade, row.section.text
        case HardwarePrice():
            return row.kind, row.size, row.length_in, row.material
        case ConsumablePrice():
            return row.item
        case _:
            return row.product


def _title_of(row: SoldPrice, unit: str) -> str:
    match row:
        case LumberPrice():
            return " ".join(filter(None, (row.species, row.grade, row.section.text)))
        case HardwarePrice():
            return hardware_title(row.kind, row.size, row.length_in, row.material, unit)
        case ConsumablePrice():
            return row.item
        case _:
            return row.product


def _rates_asked(order: Order) -> dict[str, tuple[str, Origin]]:
    """Return each labour rate that an operation or the sanding is paid at, by its key, and where it first stands."""
    operations = (*(one for item in order.items for one in item.build.labour), *order.shop.labour)
    asked: dict[str, tuple[str, Origin]] = {}
    for name, origin in (
        *((one.rate, one.origin) for one in operations),
        (order.shop.sanding.rate, order.shop.sanding.origin),
    ):
        if name:
            asked.setdefault(name_key(name), (name, origin))
    return asked


def _missing_rates(order: Order) -> Iterator[Suspect]:
    known = tuple(rate.name for rate in order.prices.labour_rates)
    for name, origin in _rates_asked(order).values():
        if not rates_named(name, order.prices.labour_rates):
            message = f'labour_rates.csv has no rate "{name}"{nearest(name, known)}'
            yield Suspect(origin=origin, tell=partial(str, message))


def _unused_goods(order: Order, met: Order) -> Iterator[Notice]:
    """Yield for each table what no row is used of: by name where it is kept by hand, of a supplier's list how much."""
    for (table, rows), used_rows in zip(_sold(order).items(), _sold(met).values(), strict=True):
        used = {_goods_of(row) for row in used_rows}
        by_file: dict[str, dict[Hashable, SoldPrice]] = {}
        for row in rows:
            by_file.setdefault(row.origin.file, {}).setdefault(_goods_of(row), row)
        for file, goods in by_file.items():
            unused = [row for key, row in goods.items() if key not in used]
            named = [(row.origin, _title_of(row, order.shop.unit)) for row in unused[:MOST_NAMED]]
            if PurePath(file).name != f"{table}.csv":
                named = []
            yield from _unused(file, named, len(unused), len(goods))


def _unused_of_small_tables(order: Order, needs: Iterable[Need]) -> Iterator[Notice]:
    """Yield for finish_products, spread_rates and labour_rates the rows that nothing uses."""
    finish = [need for need in needs if isinstance(need, FinishNeed)]
    products = {name_key(product) for need in finish for product in products_of(need)}
    products |= {name_key(use.auxiliary.product) for need in finish for use in auxiliary_uses(need)}
    steps = (coat.step for need in finish for coat in need.coats)
    spread = {(name_key(step.product), step.texture) for step in steps if step.rate is None}
    rates = _rates_asked(order)
    tables = order.prices
    for rows in (
        [(one.origin, one.product, name_key(one.product) in products) for one in tables.finish_products],
        [
            (one.origin, f"{one.product} on {one.texture} wood", (name_key(one.product), one.texture) in spread)
            for one in tables.spread_rates
        ],
        [(one.origin, one.name, name_key(one.name) in rates) for one in tables.labour_rates],
    ):
        unused = [(origin, title) for origin, title, is_used in rows if not is_used]
        if rows:
            yield from _unused(rows[0][0].file, unused[:MOST_NAMED], len(unused), len(rows))


def _unused(file: str, named: Sequence[tuple[Origin, str]], count: int, of: int) -> Iterator[Notice]:
    """Yield how many goods of a table nothing uses, with the names of the first where there are some."""
    if not count:
        return
    message = f"{count:,} of {of:,} {'is' if count == 1 else 'are'} in no build"
    if named:
        listed = ", ".join(f"{title} (line {origin.line})" for origin, title in named)
        more = f" and {count - len(named):,} more" if count > len(named) else ""
        message = f"{message}: {listed}{more}"
    else:
        message = f"{message}; that is usual for a supplier's whole list"
    yield Notice(origin=Origin(file=file), message=message)
