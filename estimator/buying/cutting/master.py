"""The cutting problem with fractions of boards allowed, by column generation.

Gilmore, Gomory 1961 and 1963, Operations Research 9 and 11 (from memory): patterns are columns, only those that pay are
made, and an oracle makes them from the duals of the parts.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from estimator.buying.cutting.bound import Weighing, whole_weights
from estimator.buying.cutting.linear import ENDLESS, LinearProgram
from estimator.buying.cutting.pricing import Priced, Pricer
from estimator.buying.cutting.problem import Pattern

Column = tuple[int, Pattern]  # stock and pattern

# How much a column has to save on its price before it counts as paying: above the tolerance HiGHS works to.
WORTH_ADDING = 1e-7

# From so many parts on the duals are smoothed, and so much of the last round's they keep.
MANY_PARTS = 40
SMOOTHING = 0.8


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

    def relax(self, pricer: Pricer, *, is_enough: Callable[[Weighing], bool] = lambda _: False) -> Relaxed:
        """Return the fractional plan that no pattern makes cheaper; `pricer` works within the setting's demand.

        It ends early where a weighing is enough, with the plan it has by then.
        """
        weighings: list[Weighing] = []
        smooth: list[float] = []
        while True:
            values, duals = self._programme.solve()
            smooth = self._smoothed(smooth, duals)
            for asked in (smooth, duals) if smooth else (duals,):
                priced, weighing = self._weigh(pricer, asked)
                weighings.append(weighing)
                if is_enough(weighing):
                    return self._relaxed(values, weighings)
                if self.add(self._paying(priced, weighing, asked, duals)):
                    break
            else:
                return self._relaxed(values, weighings)

    def _smoothed(self, before: list[float], duals: list[float]) -> list[float]:
        """Return duals near those of the round before; none where parts are few.

        The duals of many parts leap from round to round, and patterns made for a leap are of no use after the next.
        (Neame 1999, thesis, from memory; Wentges 1997, International Transactions in Operational Research 4, from
        memory, keeps near the best duals instead.)
        """
        if self._parts < MANY_PARTS:
            return []
        return [SMOOTHING * old + (1 - SMOOTHING) * new for old, new in zip(before or duals, duals, strict=True)]

    def _weigh(self, pricer: Pricer, duals: Sequence[float]) -> tuple[Priced, Weighing]:
        """Return the patterns that are best under duals, and what these prove."""
        weights, scale = whole_weights(duals[: self._parts], sum(self._setting.demand))
        priced = pricer.price(weights)
        return priced, Weighing(weights=tuple(weights), values=tuple(priced.values), scale=scale)

    def _paying(
        self, priced: Priced, weighing: Weighing, asked: Sequence[float], duals: Sequence[float]
    ) -> Iterator[Column]:
        """Yield the patterns priced under the duals asked about that also pay under the programme's own."""
        for stock, (price, value) in enumerate(zip(self._setting.prices, weighing.values, strict=True)):
            row = self._limit_rows.get(stock)
            due = price if row is None else price - asked[row]
            least = weighing.scale * (due + WORTH_ADDING * max(1.0, due))
            if value <= least:
                continue
            for pattern in priced.patterns(stock, int(least)):
                if asked is duals or self._pays(stock, pattern, duals):
                    yield stock, pattern

    def _pays(self, stock: int, pattern: Pattern, duals: Sequence[float]) -> bool:
        """Whether a pattern carries more under duals than a board costs."""
        row = self._limit_rows.get(stock)
        due = self._setting.prices[stock] - (0.0 if row is None else duals[row])
        carried = sum(duals[part] * count for part, count in enumerate(pattern) if count)
        return carried > due + WORTH_ADDING * max(1.0, due)

    def _relaxed(self, values: Sequence[float], weighings: list[Weighing]) -> Relaxed:
        missing = len(self._missing)
        boards = zip(self.columns, values[missing:], strict=True)
        return Relaxed(
            boards={column: count for column, count in boards if count > 1e-9},
            cost=self._programme.cost,
            weighings=tuple(weighings),
        )
