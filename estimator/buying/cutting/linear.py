"""Linear programmes, solved by HiGHS without a word on the terminal."""

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache

import highspy

ENDLESS = highspy.kHighsInf


class SolverGaveUpError(ArithmeticError):
    """HiGHS found no optimum where there has to be one: floats had the better of it."""


@contextmanager
def silent_stdout() -> Iterator[None]:
    """Send everything written to file descriptor 1 to nowhere."""
    sys.stdout.flush()
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


@cache
def swallow_banner() -> None:
    """Let HiGHS say its name, once a process: 1.16 prints it in the first constructor, before it can be told not to."""
    with silent_stdout():
        new_solver()


def new_solver() -> highspy.Highs:
    """Return an empty HiGHS, quiet, on one thread."""
    solver = highspy.Highs()  # type: ignore[no-untyped-call]  # the library leaves its constructor untyped
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    # On programmes this small presolve costs more than it saves.
    solver.setOptionValue("presolve", "off")
    return solver


class LinearProgram:
    """min costs x, with rows and columns between bounds; each solve starts from the basis of the one before."""

    def __init__(self, *, row_lower: list[float], row_upper: list[float]) -> None:
        swallow_banner()
        self._highs = new_solver()
        rows = len(row_lower)
        self._highs.addRows(rows, row_lower, row_upper, 0, [0] * rows, [], [])

    def add_columns(
        self, *, costs: list[float], upper: list[float], entries: Sequence[Sequence[tuple[int, float]]]
    ) -> None:
        """Append columns from 0 to `upper`; `entries` are the (row, coefficient) pairs of each."""
        starts = [0]
        for pairs in entries:
            starts.append(starts[-1] + len(pairs))
        rows = [row for pairs in entries for row, _ in pairs]
        values = [value for pairs in entries for _, value in pairs]
        self._highs.addCols(len(costs), costs, [0.0] * len(costs), upper, starts[-1], starts[:-1], rows, values)

    def add_row(self, *, lower: float, coefficients: list[float]) -> None:
        """Append a row over all columns: coefficients x >= lower."""
        columns = list(range(len(coefficients)))
        self._highs.addRow(lower, ENDLESS, len(columns), columns, coefficients)

    def set_column_bounds(self, *, lower: list[float], upper: list[float]) -> None:
        """Set the bounds of the first columns, as many as are given."""
        self._highs.changeColsBounds(len(lower), list(range(len(lower))), lower, upper)

    def set_costs(self, costs: list[float]) -> None:
        """Set the costs of the first columns, as many as are given."""
        self._highs.changeColsCost(len(costs), list(range(len(costs))), costs)

    def set_row_upper(self, *, first: int, upper: list[float]) -> None:
        """Set the upper bounds of rows without a lower one, from the `first` on."""
        for row, bound in enumerate(upper, first):
            self._highs.changeRowBounds(row, -ENDLESS, bound)

    def set_row_bounds(self, *, first: int, lower: list[float], upper: list[float]) -> None:
        """Set the bounds of rows, from the `first` on."""
        for row, (low, high) in enumerate(zip(lower, upper, strict=True), first):
            self._highs.changeRowBounds(row, low, high)

    def solve(self) -> tuple[list[float], list[float]]:
        """Return the values of the columns and the duals of the rows at the least cost, as good as floats are."""
        if not self._optimal() and not self._optimal(afresh=True):
            raise SolverGaveUpError
        solution = self._highs.getSolution()
        return solution.col_value, solution.row_dual

    def _optimal(self, *, afresh: bool = False) -> bool:
        """Run, from the last basis or from none, and say whether it came to an end."""
        if afresh:
            self._highs.clearSolver()
        self._highs.run()
        return self._highs.getModelStatus() == highspy.HighsModelStatus.kOptimal

    @property
    def cost(self) -> float:
        """The least cost of the last solve."""
        cost: float = self._highs.getInfo().objective_function_value
        return cost
