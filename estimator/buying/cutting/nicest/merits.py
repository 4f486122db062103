"""What a sawyer looks at in plans that cost the same, each as a whole number."""

from collections.abc import Sequence

from estimator.buying.cutting.check import strip_length
from estimator.buying.cutting.job import CuttingJob, Preference
from estimator.buying.cutting.kits import part_kits, whole_kits
from estimator.buying.cutting.master import Column
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Merged, Run

# One number for each preference in the job's order; of two plans the one whose numbers come first is nicer.
Standing = tuple[int, ...]


class Merits:
    """Judges the plans of one job."""

    def __init__(self, job: CuttingJob, merged: Merged, oracle: Oracle) -> None:
        self.prefer = job.prefer
        self.kits = part_kits(job, merged)
        self._oracle = oracle
        self._boards = [job.stocks[place].length for place in merged.stock_places]
        self._parts_job = CuttingJob(stocks=job.stocks, pieces=merged.parts, kerf=job.kerf, ripping=job.ripping)
        self._stops = [(part.length, tuple(sorted(set(part.ends)))) for part in merged.parts]
        self._left_over: dict[Column, int] = {}

    def standing(self, runs: Sequence[Run]) -> Standing:
        """Return how a plan stands under the job's preferences, smaller being nicer."""
        return tuple(self._merit(preference, runs) for preference in self.prefer)

    def set_ups(self, column: Column) -> int:
        """How many set-ups a layout takes: one for itself, and one of the stop for each length in it.

        Parts that differ in width alone share a stop; those that lean otherwise take another setting of the saw.
        """
        return 1 + len({stop for stop, count in zip(self._stops, column[1], strict=True) if count})

    def left_over(self, column: Column) -> int:
        """Return the length that a board has left at its full width: what its longest strip does not take."""
        if column not in self._left_over:
            stock, pattern = column
            strips = self._oracle.arrange(pattern, stock)
            taken = max(strip_length(self._parts_job, strip) for strip in strips)
            self._left_over[column] = self._boards[stock] - taken
        return self._left_over[column]

    def longest_left_over(self, runs: Sequence[Run]) -> int:
        """Return the longest single left-over of a plan."""
        return max(self.left_over((run.stock, run.pattern)) for run in runs)

    def _merit(self, preference: Preference, runs: Sequence[Run]) -> int:
        if preference == "fewest set-ups":
            return sum(self.set_ups(column) for column in {(run.stock, run.pattern) for run in runs})
        if preference == "fewest boards":
            return sum(run.boards for run in runs)
        if preference == "longest left-over":
            return -self.longest_left_over(runs)
        return -whole_kits(self.kits, runs)
