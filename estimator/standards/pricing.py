"""Price from cost: margin is a share of the price, mark-up a share of the cost.

Shares are fractions: 0.25 is 25 percent. Nothing is rounded here, so that a printed line is rounded once.
"""

from decimal import Decimal


def markup_from_margin(margin: Decimal) -> Decimal:
    """Return the mark-up on cost that gives a margin on price: m / (1 - m).

    Source: "Converting between margin and markup", themathsguide.ie.
    """
    return margin / _share_left_for_cost(margin)


def margin_from_markup(markup: Decimal) -> Decimal:
    """Return the margin on price that a mark-up on cost gives: u / (1 + u).

    Source: "Converting between margin and markup", themathsguide.ie.
    """
    return markup / (1 + markup)


def price_from_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """Return the price of which the margin is the given share: cost / (1 - margin)."""
    return cost / _share_left_for_cost(margin)


def price_from_markup(cost: Decimal, markup: Decimal) -> Decimal:
    """Return the cost with the mark-up on it: cost x (1 + mark-up)."""
    return cost * (1 + markup)


def overhead_rate(*, overhead: Decimal, base: Decimal) -> Decimal:
    """Return overhead for each unit of its base: dollars for a dollar of labour or material, or for an hour.

    Both are of one period, usually last year's or the coming year's budget.
    Source: predetermined overhead rate, Weygandt, Kimmel and Kieso, "Greetings Inc." case.
    """
    if base <= 0:
        raise ValueError("overhead needs something to be spread over; give a base above 0")
    return overhead / base


def _share_left_for_cost(margin: Decimal) -> Decimal:
    if margin >= 1:
        raise ValueError(
            f"a margin of {margin * 100:f} % leaves nothing of the price for the cost; "
            "write a margin below 100 %, or the same figure as a mark-up"
        )
    return 1 - margin
