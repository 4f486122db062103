"""Small jobs against a search through every way to cut them."""

from functools import cache
from itertools import product
from random import Random

import pytest

from estimator.buying.cutting import small_jobs
from estimator.buying.cutting.job import CuttingJob, NotEnoughStock, Piece, Stock
from estimator.buying.cutting.plan import plan_cuts

IMPOSSIBLE = 10**9


def least_cost(job: CuttingJob) -> int:
    """Try every board that cuts the first piece still wanted, and whatever else with it; no bounds, no tricks."""
    pieces = sum(piece.demand for piece in job.pieces)

    @cache
    def rest(left: tuple[int, ...], available: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        first = next(n for n, wanted in enumerate(left) if wanted)
        best = IMPOSSIBLE
        for counts in product(*(range(wanted + 1) for wanted in left)):
            if not counts[first]:
                continue
            lengths = sum(piece.length * count for piece, count in zip(job.pieces, counts, strict=True))
            needed = lengths + (sum(counts) - 1) * job.kerf
            still = tuple(wanted - count for wanted, count in zip(left, counts, strict=True))
            for n, stock in enumerate(job.stocks):
                if available[n] and needed <= stock.length:
                    fewer = (*available[:n], available[n] - 1, *available[n + 1 :])
                    best = min(best, stock.price + rest(still, fewer))
        return best

    boards = tuple(pieces if stock.limit is None else min(stock.limit, pieces) for stock in job.stocks)
    return rest(tuple(piece.demand for piece in job.pieces), boards)


def random_job(random: Random, *, limited: bool) -> CuttingJob:
    top = random.randint(15, 60)
    stocks = tuple(
        Stock(
            length=random.randint(10, top),
            price=random.choice([0, *range(1, 41)]) if random.random() < 0.2 else random.randint(1, 40),
            limit=random.randint(0, 4) if limited and random.random() < 0.7 else None,
        )
        for _ in range(random.randint(1, 4))
    )
    pieces = tuple(
        Piece(length=random.randint(3, top * random.choice([1, 2]) // 2), demand=random.randint(0, 3))
        for _ in range(random.randint(1, 4))
    )
    return CuttingJob(stocks=stocks, pieces=pieces, kerf=random.randint(0, 3))


@pytest.fixture(params=["as it comes", "without looking at every way"])
def search(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The search as it is, and with the step left out that settles small jobs: the others have to get there too."""
    if request.param != "as it comes":
        monkeypatch.setattr(small_jobs, "MOST_POINTS", 0)


@pytest.mark.usefixtures("search")
@pytest.mark.parametrize("limited", [False, True])
def test_small_jobs_cost_what_an_exhaustive_search_says(limited: bool) -> None:  # noqa: FBT001 - pytest's way
    random = Random(int(limited))  # noqa: S311 - not for secrets
    solved = short = 0
    while solved < 1000:
        job = random_job(random, limited=limited)
        if any(piece.demand and all(piece.length > stock.length for stock in job.stocks) for piece in job.pieces):
            continue
        best = least_cost(job)
        if best == IMPOSSIBLE:
            short += 1
            with pytest.raises(NotEnoughStock) as refusal:
                plan_cuts(job)
            assert refusal.value.proved
            continue
        solved += 1
        plan = plan_cuts(job)
        assert (plan.cost, plan.lower_bound) == (best, best)
    assert bool(short) == limited
