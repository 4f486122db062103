"""The cans or sets a product is sold in, and those of them that hold a need at the least cost."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Protocol

from estimator.buying.packs import Pack, cheapest_packs, most_for_less, worth_a_look
from estimator.buying.purchase import BuyLine, pack_lines
from estimator.buying.sold_items import SoldItem, in_whole_units, sold_items
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.reading.sold import FinishPrice
from estimator.units import common_step

TOUCH = 1e-9  # the share of a need by which only floating point puts it above a content


@dataclass(frozen=True, kw_only=True, slots=True)
class Cans:
    """Some cans of one product; of a two-part product `content_gal` is the mixture that its base and hardener give."""

    lines: tuple[BuyLine, ...]
    content_gal: Fraction
    base_gal: Fraction
    hardener_gal: Fraction

    @property
    def amount(self) -> Decimal:
        """What they cost at the till."""
        return sum((line.amount for line in self.lines), Decimal(0))

    @property
    def cost(self) -> Fraction:
        """What they cost before a line is rounded to the cent: choices are compared by it."""
        return sum((Fraction(line.quantity) * line.row.net_price for line in self.lines), Fraction(0))


class Offers(Protocol):
    """All that a product is sold in."""

    def cheapest(self, need_gal: float) -> Cans:
        """Return the cheapest that hold a need."""

    def most_for_less(self, need_gal: float) -> Cans | None:
        """Return, of all that cost less than the cheapest for a need, those that hold most; None where none do."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CanOffers:
    """The cans of one kind that some cheapest choice may need, which `packs` count in whole steps.

    `contents_gal` is what each counts for: of a set of base and hardener, the mixture it gives.
    """

    items: tuple[SoldItem[FinishPrice], ...]
    contents_gal: tuple[Fraction, ...]
    packs: tuple[Pack, ...]
    step_gal: Fraction
    currency: Currency

    def steps(self, need_gal: float) -> int:
        """Return how many steps hold a need; one on no area still opens a can."""
        return max(1, ceil(Fraction(need_gal * (1 - TOUCH)) / self.step_gal))

    def cheapest(self, need_gal: float) -> Cans:
        """Return the cheapest cans that hold a need."""
        return self._cans(cheapest_packs(self.steps(need_gal), self.packs))

    def most_for_less(self, need_gal: float) -> Cans | None:
        """Return, of all cans that cost less than the cheapest for a need, those that hold most."""
        return self.most_under(self.cheapest(need_gal).cost, need_gal)

    def most_under(self, cost: Fraction, need_gal: float) -> Cans | None:
        """Return, of all cans under a cost, those that hold most; the cost must buy none that hold the need."""
        first = self.items[0]
        scale = (first.tiers[-1].price or 0) / first.rows[-1].net_price  # from money to the whole prices of packs
        cans = self._cans(most_for_less(ceil(cost * scale), self.packs, below=self.steps(need_gal)))
        return cans if cans.lines else None

    def _cans(self, counts: tuple[int, ...]) -> Cans:
        rows = [item.first for item in self.items]
        names = [(row.product, f"{'set' if row.hardener_gal else 'can'} of {row.container}") for row in rows]
        return Cans(
            lines=pack_lines(self.items, counts, names, self.currency),
            content_gal=_together(counts, self.contents_gal),
            base_gal=_together(counts, tuple(row.content_gal for row in rows)),
            hardener_gal=_together(counts, tuple(row.hardener_gal for row in rows)),
        )


def _together(counts: tuple[int, ...], contents_gal: tuple[Fraction, ...]) -> Fraction:
    return sum((count * content for count, content in zip(counts, contents_gal, strict=True)), Fraction(0))


def can_offers(rows: list[FinishPrice], contents_gal: list[Fraction], currency: Currency) -> CanOffers:
    """Return the cans that some cheapest choice may need; what each row counts for stands beside it."""
    content_of = dict(zip(rows, contents_gal, strict=True))
    items = sold_items(rows, in_whole_units(rows))
    items = [items[n] for n in worth_a_look([(content_of[item.first], item.tiers) for item in items])]
    contents_gal = [content_of[item.first] for item in items]
    step_gal = common_step(tuple(contents_gal))
    packs = tuple(
        Pack(size=int(content / step_gal), breaks=item.tiers) for content, item in zip(contents_gal, items, strict=True)
    )
    return CanOffers(
        items=tuple(items), contents_gal=tuple(contents_gal), packs=packs, step_gal=step_gal, currency=currency
    )


def single_cans(product: str, order: Order, findings: Findings) -> CanOffers | None:
    """Return the cans that a product of one part is sold in, None where the table has none.

    A set of base and hardener is a fault: nothing says in which ratio they are mixed.
    """
    rows = rows_of(product, order)
    for row in rows:
        if row.hardener_gal:
            findings.fault(
                row.origin,
                f'"{row.container}" is a set of two parts, and finish_products.csv gives "{row.product}" no mix_ratio; '
                "write mixed_with and mix_ratio there, or the content of one can here",
                "container",
            )
    return can_offers(rows, [row.content_gal for row in rows], order.shop.currency) if rows else None


def rows_of(product: str, order: Order) -> list[FinishPrice]:
    """Return the price rows of a product, whatever the spelling."""
    return [row for row in order.prices.finishes if name_key(row.product) == name_key(product)]
