"""The suppliers: what fetching from one costs, what it charges at least, and how its prices become the shop's money."""

import os
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings, Origin
from estimator.money import SYMBOLS, Currency
from estimator.reading.fields import Fields, name_key, nearest
from estimator.reading.settings import Settings

SUPPLIERS_FILE = "suppliers.toml"
WAYS_TO_CHOOSE = ("cheapest", "fewest stops", "one stop", "prefer")
_NAMES = (
    "name",
    "visit_cost",
    "minimum_order",
    "currency",
    "rate",
    "rate_date",
    "tax_included_percent",
    "discount_percent",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Supplier:
    """Whom the shop buys from, and on what terms.

    `visit_cost` and `minimum_order` are in the shop's own money. Price cells are in `currency`, one unit of which is
    `rate` of the shop's; `rate_day` is None where both are the same.
    """

    origin: Origin
    name: str
    visit_cost: Decimal
    minimum_order: Decimal
    currency: Currency
    rate: Decimal
    rate_day: date | None
    tax_included_percent: Decimal
    discount_percent: Decimal
    lines: tuple[tuple[str, int], ...] = ()  # of its settings

    def at(self, name: str) -> Origin:
        """Return where one of its settings stands."""
        return Origin(file=self.origin.file, line=dict(self.lines).get(name, self.origin.line))

    @property
    def factor(self) -> Fraction:
        """What a price of 1 comes to in the shop's money: rate / (1 + tax) x (1 - discount), exact."""
        without_tax = Fraction(self.rate) / (1 + Fraction(self.tax_included_percent) / 100)
        return without_tax * (1 - Fraction(self.discount_percent) / 100)


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierChoice:
    """How the shop chooses where to buy, and where that or whom it prefers is written."""

    origin: Origin
    choose: str = WAYS_TO_CHOOSE[0]
    preferred: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Suppliers:
    """The suppliers of suppliers.toml by the key of their name, and the shop's own currency for all others."""

    own_currency: Currency
    known: Mapping[str, Supplier]

    def named(self, name: str) -> Supplier | None:
        """Return the supplier of that name, None where the file does not have it."""
        return self.known.get(name_key(name))

    def currency_of(self, name: str) -> Currency:
        """Return the currency a supplier's prices are written in."""
        supplier = self.named(name)
        return supplier.currency if supplier else self.own_currency


def parse_currency(text: str) -> Currency:
    """Return the currency of a code: `eur` is EUR. Raises ValueError for what is none."""
    code = text.strip().upper()
    if len(code) != 3 or not code.isalpha():
        raise ValueError(f'"{text}" is not a currency; write its three letters, like {", ".join(list(SYMBOLS)[:3])}')
    return Currency(code=code)


def read_supplier_choice(settings: Settings) -> SupplierChoice:
    """Return how a shop chooses its suppliers, from the settings under [suppliers]; faults go to their findings."""
    table = settings.table("suppliers")
    choose = table.choice("choose", WAYS_TO_CHOOSE, blank=WAYS_TO_CHOOSE[0])
    if table.has("preferred") and choose != "prefer":
        table.fault("preferred", 'counts only with choose = "prefer"; write that too, or take this out')
    return SupplierChoice(
        origin=settings.at("preferred" if choose == "prefer" else "choose", "suppliers"),
        choose=choose,
        preferred=table.text("preferred") if choose == "prefer" else "",
    )


def read_suppliers(folder: Path, own_currency: Currency, findings: Findings) -> Suppliers:
    """Return the suppliers in a folder's suppliers.toml, none where it is not there; faults go to `findings`."""
    path = folder / SUPPLIERS_FILE
    if not os.path.exists(path):  # noqa: PTH110 - Path raises where a folder's name is too long for any
        return Suppliers(own_currency=own_currency, known={})
    settings = Settings(path, findings)
    settings.check_names({"": (), "suppliers": _NAMES})
    known: dict[str, Supplier] = {}
    for table in settings.tables("suppliers"):
        supplier = _supplier(table, own_currency)
        first = known.setdefault(name_key(supplier.name), supplier)
        if first is not supplier and supplier.name:
            table.fault("name", f'"{supplier.name}" stands on line {first.at("name").line} too; keep one of them')
    return Suppliers(own_currency=own_currency, known=known)


def _supplier(table: Fields, own_currency: Currency) -> Supplier:
    currency = table.read("currency", parse_currency, own_currency, blank=own_currency)
    rate, rate_day = _rate(table, currency, own_currency)
    return Supplier(
        origin=table.origin,
        name=table.text("name"),
        visit_cost=_own_money(table, "visit_cost", own_currency),
        minimum_order=_own_money(table, "minimum_order", own_currency),
        currency=currency,
        rate=rate,
        rate_day=rate_day,
        tax_included_percent=table.number("tax_included_percent", high=100, blank=Decimal(0)),
        discount_percent=table.number("discount_percent", high=99, blank=Decimal(0)),
        lines=tuple((table.lines or {}).items()),
    )


def _rate(table: Fields, currency: Currency, own_currency: Currency) -> tuple[Decimal, date | None]:
    """Return what one unit of a supplier's currency is in the shop's, and since when; both are wanted or neither is."""
    if currency != own_currency:
        return table.number("rate", above=True), table.day("rate_date")
    for name in ("rate", "rate_date"):
        if table.has(name):
            remedy = "name another currency, or take it out"
            table.fault(name, f"changes {currency.code} into the shop's own {own_currency.code}; {remedy}")
    return Decimal(1), None


def _own_money(table: Fields, name: str, currency: Currency) -> Decimal:
    """Return an amount to the coin; nothing where it is not written."""
    if not table.has(name):
        return Decimal(0)
    amount = table.money(name, currency=currency, may_be_zero=True)
    if currency.rounded(amount) != amount:
        table.fault(name, f'"{amount}" is no whole number of coins; round it to {currency.cent}')
    return amount


def check_suppliers(suppliers: Suppliers, choice: SupplierChoice, sellers: Collection[str], findings: Findings) -> None:
    """Note a preferred supplier and one of suppliers.toml whom no price row names: what was meant would not count."""
    sold_by = {name_key(name) for name in sellers}
    for key, supplier in suppliers.known.items():
        if supplier.name and key not in sold_by:
            message = f'no price is of "{supplier.name}"{nearest(supplier.name, sellers)}; its terms count nowhere'
            findings.notice(supplier.at("name"), message)
    if choice.preferred and name_key(choice.preferred) not in sold_by:
        remedy = nearest(choice.preferred, sellers) or "; write the name as the price tables have it"
        findings.fault(choice.origin, f'no price is of "{choice.preferred}"{remedy}', "preferred")
