"""The priced bill of materials: every line bought, what the client pays of it, and which build bears which share."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.buy import BuySheet, is_stale
from estimator.buying.purchase import BuyLine, Purchase
from estimator.money import apportion, rounded
from estimator.reading.order import Order

# Shares are stated to so many places, so that the workbook's formulas work with the figures that are printed.
SHARE_DIGITS = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class BillLine:
    """A line of the buy sheet with what the client pays of it.

    `shares` and `by_build` are in the order of the order's builds; the amounts add up to `charged` to the cent.
    `own_shares` are what each build uses for itself; the rest the shop uses on the order as a whole, and the builds
    bear it as they bear the work on it.
    """

    kind: str
    bought: BuyLine
    charged_share: Decimal
    charged: Decimal
    own_shares: tuple[Fraction, ...]
    shares: tuple[Decimal, ...]
    by_build: tuple[Decimal, ...]
    stale: bool

    @property
    def common_share(self) -> Fraction:
        """The share that the shop uses on the order as a whole."""
        return 1 - sum(self.own_shares, Fraction(0))


def bill_of_materials(order: Order, sheet: BuySheet, work_shares: tuple[Fraction, ...]) -> tuple[BillLine, ...]:
    """Return the bill, line by line, in the order of the buy sheet; `work_shares` split what the shop itself uses."""
    return tuple(
        _bill_line(order, purchase, line, work_shares) for purchase in sheet.purchases for line in purchase.lines
    )


def stated_shares(shares: tuple[Fraction, ...]) -> tuple[Decimal, ...]:
    """Return shares to six places that still add up to one."""
    return apportion(Decimal(1), shares, SHARE_DIGITS)


def _bill_line(order: Order, purchase: Purchase, line: BuyLine, work_shares: tuple[Fraction, ...]) -> BillLine:
    currency = order.shop.currency
    pays_bought = order.shop.client_pays_bought.get(purchase.kind, True)  # a visit is used when it is paid
    charged_share = Decimal(1) if pays_bought else rounded(purchase.used_share, SHARE_DIGITS)
    charged = currency.rounded(line.amount * charged_share)
    by_name = dict(purchase.by_build)
    own_shares = tuple(by_name.get(item.build.name, Fraction(0)) for item in order.items)
    common = 1 - sum(own_shares, Fraction(0))
    shares = stated_shares(tuple(own + common * work for own, work in zip(own_shares, work_shares, strict=True)))
    return BillLine(
        kind=purchase.kind,
        bought=line,
        charged_share=charged_share,
        charged=charged,
        own_shares=own_shares,
        shares=shares,
        by_build=apportion(charged, shares, currency.digits),
        stale=is_stale((order.day - line.row.day).days, order),
    )
