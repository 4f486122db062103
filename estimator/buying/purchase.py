"""What every purchase has: priced lines, how much of it is used, and which build uses which share."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.sold_items import Row, SoldItem
from estimator.money import Currency, rounded
from estimator.reading.sold import LumberPrice, PriceRow

FINEST_DIGITS = 4  # of the price of a loose screw, which is often less than a coin


@dataclass(frozen=True, kw_only=True, slots=True)
class BuyLine:
    """One line of the buy sheet: so many boards, packs or cans, or a volume, at a price."""

    item: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    row: PriceRow

    @property
    def exact_price(self) -> Decimal | Fraction:
        """The price of one that the amount is reckoned with: a board costs whole coins, all else what it comes to."""
        if isinstance(self.row, LumberPrice) and self.row.length_in is not None:
            return self.unit_price
        return self.row.net_price if self.row.is_changed else self.row.price


@dataclass(frozen=True, kw_only=True, slots=True)
class Purchase:
    """Lines bought together for one need.

    `used_share` is the part of the money that goes into the work, the rest lies on the shelf afterwards; `by_build`
    says which build uses which share of it. Both are exact, and the shares of the builds add up to one, or to less
    where the shop uses some of it on the order as a whole.
    """

    kind: str
    title: str
    lines: tuple[BuyLine, ...]
    used_share: Fraction
    by_build: tuple[tuple[str, Fraction], ...]

    @property
    def amount(self) -> Decimal:
        """What it costs at the till."""
        return sum((line.amount for line in self.lines), Decimal(0))


def shares(weights: dict[str, Fraction]) -> tuple[tuple[str, Fraction], ...]:
    """Return weights scaled to add up to one; even shares where all weights are zero."""
    total = sum(weights.values(), Fraction(0))
    if not total:
        return tuple((name, Fraction(1, len(weights))) for name in weights)
    return tuple((name, weight / total) for name, weight in weights.items())


def unit_price(row: PriceRow, currency: Currency) -> Decimal:
    """Return the price of one as it is shown: to the coin, or as somebody wrote it, in up to FINEST_DIGITS.

    What a rate, a tax, a discount or a division made of it is shown to the coin, or to FINEST_DIGITS where it is less
    than 1.
    """
    if not row.is_changed and row.price == rounded(row.price, FINEST_DIGITS):
        return currency.unit_price(row.price)
    digits = FINEST_DIGITS if row.net_price < 1 else currency.digits
    return currency.unit_price(rounded(row.net_price, digits).normalize())


def pack_lines(
    items: Sequence[SoldItem[Row]], counts: tuple[int, ...], names: list[tuple[str, str]], currency: Currency
) -> tuple[BuyLine, ...]:
    """Return a line for each pack that is bought; `names` holds the item and the unit of each."""
    return tuple(
        _pack_line(sold.bought(count)[0], count, item, unit, currency)
        for sold, count, (item, unit) in zip(items, counts, names, strict=True)
        if count
    )


def _pack_line(row: PriceRow, count: int, item: str, unit: str, currency: Currency) -> BuyLine:
    return BuyLine(
        item=item,
        quantity=Decimal(count),
        unit=unit,
        unit_price=unit_price(row, currency),
        amount=currency.rounded(count * row.net_price),
        row=row,
    )
