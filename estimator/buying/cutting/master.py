"""The cutting problem with fractions of boards allowed, by column generation.

Gilmore, Gomory 1961 and 1963, Operations Research 9 and 11 (from memory): patterns are columns, only those that pay are
made, and an oracle makes them from the duals of the parts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from estimator.buying.cutting.bound import Weighing, whole_weights
from estimator.buying.cutting.linear import ENDLESS, LinearProgram
from estimator.buying.cutting.pricing import Pricer
from estimator.buying.cutting.problem import Pattern

Column = tuple[int, Pattern]  # stock and pattern

# How much a column has to save on its price before it counts as paying: above the tolerance HiGHS works to.
WORTH_ADDING = 1e-7


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """One linear programme: what is wanted, what boards there are, what a board and a missing part cost."""

    demand: tuple[int, ...]
    prices: tuple[int, ...]
    limits: tuple[int | None, ...]
    shortage_prices: tuple[int | None, ...]  # None where a part may not be missing


@dataclass(frozen=True, kw_only=True, slots=True)
class Relaxed:
    """A fractional plan: how many boards of each column, and its cost with what missing parts are charged.

    `weighings` are those of the rounds of pricing, the last one last.
    """

    boards: dict[Column, float]
    cost: float
    weighings: tuple[Weighing, ...]


class Master:
    """A linear programme over the columns made so far."""

    def __init__(self, setting: Setting, columns: Iterable[Column]) -> None:
        self._setting = setting
        self._parts = len(setting.demand)
        limited = [stock for stock, limit in enumerate(setting.limits) if limit is not None]
        self._limit_rows = {stock: self._parts + n for n, stock in enumerate(limited)}
        limits = [float(setting.limits[stock] or 0) for stock in limited]
        self._programme = LinearProgram(
            row_lower=[*map(float, setting.demand), *[-ENDLESS] * len(limited)],
            row_upper=[*[ENDLESS] * self._parts, *limits],
        )
        self._missing = [(part, price) for part, price in enumerate(setting.shortage_prices) if price is not None]
        self._programme.add_columns(
            costs=[float(price) for _, price in self._missing],
            upper=[ENDLESS] * len(self._missing),
            entries=[[(part, 1.0)] for part, _ in self._missing],
        )
        self.columns: dict[Column, None] = {}
        self.add(columns)

    def add(self, columns: Iterable[Column]) -> bool:
        """Append the columns that are new; whether there were any."""
        new = [column for column in dict.fromkeys(columns) if column not in self.columns]
        self.columns.update(dict.fromkeys(new))
        entries = []
        for stock, pattern in new:
            pairs = [(part, float(count)) for part, count in enumerate(pattern) if count]
            if stock in self._limit_rows:
                pairs.append((self._limit_rows[stock], 1.0))
            entries.append(pairs)
        prices = [float(self._setting.prices[stock]) for stock, _ in new]
        if new:
            self._programme.add_columns(costs=prices, upper=[ENDLESS] * len(new), entries=entries)
        return bool(new)

    def set_limits(self, limits: tuple[int, ...]) -> None:
        """Put other limits in the place of the setting's; for settings where every stock has one."""
        self._setting = replace(self._setting, limits=limits)
        self._programme.set_row_upper(first=self._parts, upper=list(map(float, limits)))

    def relax(self, pricer: Pricer) -> Relaxed:
        """Return the fractional plan that no pattern makes cheaper; `pricer` works within the setting's demand."""
        pieces = sum(self._setting.demand)
        weighings = []
        while True:
            values, duals = self._programme.solve()
            weights, scale = whole_weights(duals[: self._parts], pieces)
            priced = pricer.price(weights)
            weighings.append(Weighing(weights=tuple(weights), values=tuple(priced.values), scale=scale))
            paying = []
            for stock, (price, value) in enumerate(zip(self._setting.prices, priced.values, strict=True)):
                row = self._limit_rows.get(stock)
                due = price if row is None else price - duals[row]
                least = scale * (due + WORTH_ADDING * max(1.0, due))
                if value > least:
                    paying += [(stock, pattern) for pattern in priced.patterns(stock, int(least))]
            if not self.add(paying):
                return self._relaxed(values, weighings)

    def _relaxed(self, values: Sequence[float], weighings: list[Weighing]) -> Relaxed:
        missing = len(self._missing)
        boards = zip(self.columns, values[missing:], strict=True)
        return Relaxed(
            boards={column: count for column, count in boards if count > 1e-9},
            cost=self._programme.cost,
            weighings=tuple(weighings),
        )
