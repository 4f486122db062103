"""What looks wrong in the price tables, and which of them the shop's builds use.

Doubts, no faults: whatever cannot be read, and two prices of one item, is a fault of the tables' reader already.
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from estimator.errors import Notice
from estimator.keeping.checking.builds import ShopBuilds, Unreadable, order_of_all, read_builds
from estimator.keeping.checking.days import odd_days
from estimator.keeping.checking.doubts import Doubts, worst_of
from estimator.keeping.checking.lengths import length_doubts
from estimator.keeping.checking.lumber import far_lumber
from estimator.keeping.checking.packs import pack_doubts
from estimator.keeping.checking.use import TableUse, table_use
from estimator.reading.prices import PriceTables
from estimator.reading.shop import Shop

MISSING = "Asked for and not found"


@dataclass(frozen=True, kw_only=True, slots=True)
class PriceCheck:
    """The builds that use the tables, all doubts about these in groups, and what of them no build uses."""

    builds: ShopBuilds
    unreadable: tuple[Unreadable, ...]
    doubts: tuple[Doubts, ...]
    unused: tuple[Notice, ...]


def check_prices(tables: PriceTables, shop: Shop, given: Path, today: date) -> PriceCheck:
    """Return what to look at again in the tables of a shop; `given` is a folder whose builds count too."""
    builds = read_builds(shop, given)
    order, stock = order_of_all(builds, tables, shop, today)
    use = table_use(order) if builds.builds else TableUse(missing=(), unused=())
    missing = worst_of(MISSING, "A quote stops at each. Add a row, or mend the name in the build.", use.missing)
    found = (missing, *price_doubts(tables, shop, today))
    return PriceCheck(
        builds=builds,
        unreadable=(*builds.unreadable, *stock),
        doubts=tuple(group for group in found if group.count),
        unused=use.unused,
    )


def price_doubts(tables: PriceTables, shop: Shop, today: date) -> tuple[Doubts, ...]:
    """Return what looks wrong in the tables by themselves, in groups; a group may be empty."""
    packs, far = pack_doubts(tables, shop), far_lumber(tables.lumber, shop)
    lengths = length_doubts(tables.lumber, {one.origin for one in far}, shop)
    return (
        worst_of(
            "Lumber far from the price of its kind",
            "Look at the price, its decimal point and what it is per.",
            far,
        ),
        worst_of("Lengths that do not agree", "Look at both prices, and at both lengths.", lengths.odd),
        worst_of(
            "Packs and cans far from the price of their kind",
            "Look at the price, its decimal point and what is in the pack.",
            packs.far,
        ),
        worst_of("Packs that do not agree", "Look at both prices, and at what is in both packs.", packs.odd),
        worst_of("Old prices and odd dates", "Ask for new prices, or mend the date.", odd_days(tables, shop, today)),
        worst_of(
            "Lengths missing in a series",
            "Add them if your supplier has them: a plan may then waste less.",
            lengths.missing,
        ),
    )
