"""Days that look wrong: prices, labour rates and rates of exchange that are old, or of days to come."""

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial

from estimator.keeping.checking.doubts import Suspect
from estimator.reading.prices import LabourRate, PriceTables
from estimator.reading.shop import Shop
from estimator.reading.sold import PriceRow

Dated = PriceRow | LabourRate


def odd_days(tables: PriceTables, shop: Shop, today: date) -> list[Suspect]:
    """Return a doubt for each file with prices of days to come, at the last of them, and with old ones, at the oldest.

    A supplier's rate of exchange is told for itself.
    """
    last_good = today.toordinal() - shop.stale_after_days
    by_file = _by_file(tables)
    suspects = []
    for dated in by_file.values():
        later = [one for one in dated if one.day > today]
        old = [one for one in dated if one.day.toordinal() < last_good]
        if later:
            suspects.append(_suspect(later, max, "of a day to come; the last is this one", weight=2))
        if old:
            words = f"older than {shop.stale_after_days} days; the oldest is this one"
            suspects.append(_suspect(old, min, words))
    return [*suspects, *_odd_rates(tables, shop, today)]


def _by_file(tables: PriceTables) -> dict[str, list[Dated]]:
    by_file: dict[str, list[Dated]] = {}
    sold: tuple[Sequence[Dated], ...] = (tables.lumber, tables.hardware, tables.finishes, tables.consumables)
    for table in (*sold, tables.labour_rates):
        for row in table:
            by_file.setdefault(row.origin.file, []).append(row)
    return by_file


def _suspect(dated: Sequence[Dated], furthest: Callable[..., Dated], words: str, weight: float = 1) -> Suspect:
    named = furthest(dated, key=lambda one: one.day)
    many = f"{len(dated):,} prices are" if len(dated) > 1 else "1 price is"
    return Suspect(origin=named.origin, tell=lambda: f"{many} {words}, of {named.day}", weight=weight)


def _odd_rates(tables: PriceTables, shop: Shop, today: date) -> list[Suspect]:
    suspects = []
    for supplier in tables.suppliers:
        age = (today - supplier.rate_day).days if supplier.rate_day is not None else 0
        if age < 0 or age > shop.stale_after_days:
            words = "a day to come" if age < 0 else f"{age} days ago; your limit is {shop.stale_after_days}"
            message = f"the rate of {supplier.currency.code} of {supplier.name} is of {supplier.rate_day}, {words}"
            suspects.append(Suspect(origin=supplier.at("rate_date"), tell=partial(str, message)))
    return suspects
