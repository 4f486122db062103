"""What every purchase has: priced lines, how much of it is used, and which build uses which share."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.money import Currency
from estimator.reading.prices import PriceRow


@dataclass(frozen=True, kw_only=True, slots=True)
class BuyLine:
    """One line of the buy sheet: so many boards, packs or cans, or a volume, at a price."""

    item: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    row: PriceRow


@dataclass(frozen=True, kw_only=True, slots=True)
class Purchase:
    """Lines bought together for one need.

    `used_share` is the part of the money that goes into the work, the rest lies on the shelf afterwards; `by_build`
    says which build uses which share of it. Both are exact, and the shares of the builds add up to one.
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


def whole_prices(rows: Sequence[PriceRow]) -> list[int]:
    """Return the prices in whole numbers of the finest part that one of them is written in."""
    digits = max(0, *(-int(row.price.as_tuple().exponent) for row in rows))
    return [int(row.price.scaleb(digits)) for row in rows]


def pack_lines(
    rows: Sequence[PriceRow], counts: tuple[int, ...], names: list[tuple[str, str]], currency: Currency
) -> tuple[BuyLine, ...]:
    """Return a line for each pack that is bought; `names` holds the item and the unit of each row."""
    return tuple(
        BuyLine(
            item=item,
            quantity=Decimal(count),
            unit=unit,
            unit_price=currency.unit_price(row.price),
            amount=currency.rounded(count * row.price),
            row=row,
        )
        for row, count, (item, unit) in zip(rows, counts, names, strict=True)
        if count
    )
