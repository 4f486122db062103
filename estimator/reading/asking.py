"""How a shop asks for money: what it adds to the labour, its profit, the step a price is rounded up to, and the tax."""

from dataclasses import dataclass
from decimal import Decimal

from estimator.money import Currency
from estimator.reading.fields import Fields


@dataclass(frozen=True, kw_only=True, slots=True)
class Overhead:
    """Rent, power, insurance and the rest, charged on labour: a share of its cost, or an amount an hour."""

    percent_of_labour: Decimal | None
    per_labour_hour: Decimal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Profit:
    """Profit as a share of the price (margin) or of the cost (markup); exactly one is set."""

    margin_percent: Decimal | None
    markup_percent: Decimal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Tax:
    """A tax on the price; `rounded_per` says whether it is rounded on each line or on the invoice."""

    name: str
    percent: Decimal
    rounded_per: str


def read_step(table: Fields, currency: Currency) -> Decimal:
    """Return what the price of one is rounded up to: a whole number of coins."""
    step = table.number("round_up_to", above=True)
    if step % currency.cent:
        table.fault("round_up_to", f'"{step}" is no whole number of coins; write {currency.cent} or a multiple of it')
    return step


def _one_of(table: Fields, first: str, second: str, high: int) -> tuple[Decimal | None, Decimal | None]:
    """Return two settings of which exactly one must be written."""
    if table.has(first) == table.has(second):
        table.fault(first, f'write either "{first}" or "{second}"{", not both" if table.has(first) else ""}')
    return (
        table.number(first, high=high) if table.has(first) else None,
        table.number(second, high=high) if table.has(second) else None,
    )


def read_overhead(table: Fields) -> Overhead:
    """Return what is charged on labour, one way or the other."""
    percent, hourly = _one_of(table, "percent_of_labour", "per_labour_hour", 100_000)
    return Overhead(percent_of_labour=percent, per_labour_hour=hourly)


def read_profit(table: Fields) -> Profit:
    """Return the profit, one way or the other."""
    margin, markup = _one_of(table, "margin_percent", "markup_percent", 1000)
    if margin is not None and margin >= 100:
        table.fault(
            "margin_percent",
            f'"{margin}" leaves nothing for the cost; a margin is a share of the price, so write less than 100',
        )
        margin = Decimal(0)
    return Profit(margin_percent=margin, markup_percent=markup)


def read_tax(table: Fields) -> Tax:
    """Return the tax; a percentage of 0 is none."""
    return Tax(
        name=table.text("name", blank="Tax"),
        percent=table.number("percent", high=100),
        rounded_per=table.choice("rounded_per", ("invoice", "line"), blank="invoice"),
    )
