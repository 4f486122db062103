"""The cutting engine beside general solvers on the same jobs, one thread each; run by hand, in the solvers' own place:

    python3.12 -m venv peers
    peers/bin/pip install "setuptools<70" wheel numpy highspy ortools packingsolver
    peers/bin/pip install --no-build-isolation pyvpsolver   # compiles, needs g++
    PYTHONPATH=. peers/bin/python tests/benchmarks/bench_peers.py

A solver that is not installed is left out. All get the same whole numbers: kerf folded into parts and boards, prices,
limits. Seconds and limits are the processor's, so that others on the machine take nothing away. If a plan turns up that
is cheaper than another's proved bound, one of the two is wrong, and the run ends with an error.
"""

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from itertools import product
from math import ceil
from pathlib import Path
from statistics import median
from threading import Event, Thread
from time import process_time
from typing import NamedTuple

from estimator.buying.cutting.job import CuttingJob
from estimator.buying.cutting.linear import silent_stdout
from estimator.buying.cutting.plan import plan_cuts
from tests.benchmarks.recipes import CENTS_PER_FT, PUBLISHED, bins_by_hand, chairs_job


@dataclass(frozen=True, kw_only=True, slots=True)
class Model:
    """A job in bare numbers: sizes and demands of parts; capacities, costs and most boards of stocks."""

    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    capacities: tuple[int, ...]
    costs: tuple[int, ...]
    most: tuple[int | None, ...]

    @property
    def parts(self) -> int:
        """How many parts there are in all."""
        return sum(self.demands)


@contextmanager
def stopped_after(seconds: float, stop: Callable[[], object]) -> Iterator[None]:
    """Stop a solver once it has had so much of the processor; its own limit goes by the clock."""
    done, end = Event(), process_time() + seconds

    def watch() -> None:
        while not done.wait(0.05):
            if process_time() > end:
                stop()

    watcher = Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        done.set()
        watcher.join()


class Answer(NamedTuple):
    """The cost of the plan found, if any, and what is proved of every plan."""

    cost: int | None
    bound: int

    @property
    def is_proved(self) -> bool:
        """Whether the plan is proved cheapest."""
        return self.cost is not None and self.cost <= self.bound


def model_of(job: CuttingJob) -> Model:
    """Return the bare numbers, equal lengths merged: n parts and n - 1 kerfs fit where n parts with a kerf each do."""
    demands: dict[int, int] = {}
    for piece in job.pieces:
        demands[piece.length + job.kerf] = demands.get(piece.length + job.kerf, 0) + piece.demand
    sizes = tuple(sorted(demands, reverse=True))
    return Model(
        sizes=sizes,
        demands=tuple(demands[size] for size in sizes),
        capacities=tuple(stock.length + job.kerf for stock in job.stocks),
        costs=tuple(stock.price for stock in job.stocks),
        most=tuple(stock.limit for stock in job.stocks),
    )


def whole_bound(bound: float) -> int:
    """Return what a floating-point bound, maybe none so far, says of whole costs; a millionth is for its error."""
    return ceil(bound - 1e-6 * max(1.0, bound)) if bound > 0 else 0


def boards_worth_having(model: Model) -> list[int]:
    """Return how many boards of each stock a cheapest plan may hold: none dearer than one by hand."""
    items = [size for size, demand in zip(model.sizes, model.demands, strict=True) for _ in range(demand)]
    limits = [len(items) if most is None else most for most in model.most]
    by_hand = len(items) * max(model.costs)
    for capacity, cost, limit in zip(model.capacities, model.costs, limits, strict=True):
        if capacity >= items[0] and bins_by_hand(items, capacity) <= limit:
            by_hand = min(by_hand, bins_by_hand(items, capacity) * cost)
    return [min(len(items), limit, by_hand // cost) for cost, limit in zip(model.costs, limits, strict=True)]


def assignment(model: Model, seconds: float) -> Answer:
    """Ask CP-SAT how many of each part each board gives: boards of one stock in turn, the used ones first."""
    cp_model = import_module("ortools.sat.python.cp_model")
    programme = cp_model.CpModel()
    cut: list[list[object]] = [[] for _ in model.sizes]
    used = []
    for capacity, cost, boards in zip(model.capacities, model.costs, boards_worth_having(model), strict=True):
        before = None
        for _ in range(boards):
            board = programme.new_bool_var("")
            counts = [
                programme.new_int_var(0, min(demand, capacity // size), "")
                for size, demand in zip(model.sizes, model.demands, strict=True)
            ]
            programme.add(cp_model.LinearExpr.weighted_sum(counts, model.sizes) <= capacity * board)
            if before is not None:
                programme.add_implication(board, before)
            before = board
            used.append((board, capacity, cost))
            for part, count in zip(cut, counts, strict=True):
                part.append(count)
    for part, demand in zip(cut, model.demands, strict=True):
        programme.add(cp_model.LinearExpr.sum(part) >= demand)
    opened, capacities, costs = zip(*used, strict=True)
    material = sum(size * demand for size, demand in zip(model.sizes, model.demands, strict=True))
    programme.add(cp_model.LinearExpr.weighted_sum(opened, capacities) >= material)
    programme.minimize(cp_model.LinearExpr.weighted_sum(opened, costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    with stopped_after(seconds, solver.stop_search):
        status = solver.solve(programme)
    found = status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    return Answer(round(solver.objective_value) if found else None, max(0, round(solver.best_objective_bound)))


def arc_flow(model: Model, seconds: float) -> Answer:
    """Ask HiGHS for a cheapest flow through the compressed graph that VPSolver makes of the boards.

    Brandao, Pedroso 2016, Computers & Operations Research 69.
    """
    vpsolver = import_module("pyvpsolver.vpsolver")
    highspy = import_module("highspy")
    bin_path = str(Path(sys.executable).parent)
    if bin_path not in os.environ["PATH"].split(os.pathsep):  # it starts programmes that are installed beside Python
        os.environ["PATH"] = bin_path + os.pathsep + os.environ["PATH"]
    vpsolver.VPSolver.set_verbose(False)
    packing = vpsolver.MVP(
        [[capacity] for capacity in model.capacities],
        list(model.costs),
        [-1 if most is None else most for most in model.most],
        [[(size,)] for size in model.sizes],
        list(model.demands),
    )
    programme = vpsolver.MPS(vpsolver.AFG(packing))
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.HandleUserInterrupt = True
    highs.readModel(programme.filename)
    with stopped_after(seconds, highs.cancelSolve):
        highs.run()
    info = highs.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Answer(None, whole_bound(info.mip_dual_bound))
    value = round(info.objective_function_value)
    is_optimal = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return Answer(value, value if is_optimal else whole_bound(info.mip_dual_bound))


def packing_search(model: Model, seconds: float) -> Answer:
    """Ask PackingSolver for bins of least cost, in its mode of one thread, whose limit goes by the clock."""
    packingsolver = import_module("packingsolver")
    packing = import_module("packingsolver.onedimensional")
    builder = packing.InstanceBuilder()
    builder.set_objective(packingsolver.Objective.VariableSizedBinPacking)
    for capacity, cost, most in zip(model.capacities, model.costs, model.most, strict=True):
        builder.add_bin_type(capacity, cost=cost, copies=model.parts if most is None else most)
    for size, demand in zip(model.sizes, model.demands, strict=True):
        builder.add_item_type(size, copies=demand)
    parameters = packing.OptimizeParameters()
    parameters.optimization_mode = packingsolver.OptimizationMode.NotAnytimeSequential
    parameters.time_limit = seconds
    parameters.verbosity_level = 0
    output = packing.optimize(builder.build(), parameters)
    if not (output.solution.full() and output.solution.feasible()):
        return Answer(None, whole_bound(output.variable_sized_bin_packing_bound))
    value = round(output.solution.cost())
    return Answer(value, value if output.is_proven_optimal() else whole_bound(output.variable_sized_bin_packing_bound))


class Peer(NamedTuple):
    """A solver: what it is called, what has to be installed for it, and how it is asked."""

    name: str
    packages: tuple[str, ...]
    ask: Callable[[Model, float], Answer]


PEERS = (
    Peer("CP-SAT, boards x parts", ("ortools",), assignment),
    Peer("VPSolver and HiGHS", ("pyvpsolver", "highspy"), arc_flow),
    Peer("PackingSolver", ("packingsolver",), packing_search),
)


class Timed(NamedTuple):
    """An answer, and the seconds it took with building its model."""

    answer: Answer
    seconds: float


def processor_seconds() -> float:
    """Return what this process and the programmes it has run took of the processor so far."""
    return sum(os.times()[:4])


def ask_ourselves(job: CuttingJob) -> Timed:
    """Plan a job with the engine."""
    start = processor_seconds()
    plan = plan_cuts(job)
    return Timed(Answer(plan.cost, plan.lower_bound), processor_seconds() - start)


def ask_peer(peer: Peer, job: CuttingJob, seconds: float) -> Timed:
    """Ask a peer for the same job."""
    model = model_of(job)
    start = processor_seconds()
    with silent_stdout():
        answer = peer.ask(model, seconds)
    return Timed(answer, processor_seconds() - start)


def stop_at_contradiction(name: str, ours: Answer, theirs: Answer) -> None:
    """End the run if a plan of one is cheaper than what the other says every plan costs."""
    for cost, bound in ((ours.cost, theirs.bound), (theirs.cost, ours.bound)):
        if cost is not None and cost < bound:
            sys.exit(f"contradiction on {name}: ours {ours}, theirs {theirs}")


def compare(jobs: Sequence[tuple[str, CuttingJob]], peers: Sequence[Peer], seconds: float) -> Iterator[str]:
    """Yield a table row for the engine and one for each peer: proofs, values against ours, seconds."""
    ours = [ask_ourselves(job) for _, job in jobs]
    yield f"ours | {sum(one.answer.is_proved for one in ours)}/{len(ours)} | | | | | {seconds_of(ours)}"
    for peer in peers:
        theirs = []
        for (name, job), own in zip(jobs, ours, strict=True):
            theirs.append(ask_peer(peer, job, seconds))
            stop_at_contradiction(f"{name}, {peer.name}", own.answer, theirs[-1].answer)
        more = [
            one.answer.cost - (own.answer.cost or 0)
            for one, own in zip(theirs, ours, strict=True)
            if one.answer.cost is not None
        ]
        yield (
            f"{peer.name} | {sum(one.answer.is_proved for one in theirs)}/{len(theirs)} | {more.count(0)}"
            f" | {sum(cents > 0 for cents in more)} | {sum(cents < 0 for cents in more)} | {len(theirs) - len(more)}"
            f" | {seconds_of(theirs)}"
        )


def seconds_of(timed: Sequence[Timed]) -> str:
    """Return median and greatest seconds."""
    seconds = [one.seconds for one in timed]
    return f"{median(seconds):.2f} | {max(seconds):.2f}"


def workshop_jobs(chairs: int, seeds: int) -> list[tuple[str, CuttingJob]]:
    """Return jobs of 14 part types at each price list, with their names."""
    return [
        (
            f"{chairs} chairs, {prices}, seed {seed}",
            chairs_job(types=14, chairs=chairs, prices=prices, seed=seed, offcuts=seed % 2 == 1),
        )
        for prices, seed in product(CENTS_PER_FT, range(seeds))
    ]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--chairs", type=int, nargs="*", default=[1, 6, 12, 100])
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--classes", nargs="*", choices=PUBLISHED, default=list(PUBLISHED))
    parser.add_argument("--instances", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=10.0, help="for each peer and job")
    options = parser.parse_args()
    peers = [peer for peer in PEERS if is_installed(peer)]
    print("| jobs | solver | proved | same value | dearer | cheaper | no plan | median s | max s |")
    print("|---|---|---|---|---|---|---|---|---|")
    groups = {f"14 part types, {chairs} chairs": workshop_jobs(chairs, options.seeds) for chairs in options.chairs}
    groups |= {
        name: [(f"{name} {seed}", PUBLISHED[name](seed).job) for seed in range(options.instances)]
        for name in options.classes
    }
    for group, jobs in groups.items():
        for row in compare(jobs, peers, options.seconds):
            print(f"| {group} | {row} |", flush=True)


def is_installed(peer: Peer) -> bool:
    """Whether a peer can be asked; says so where it cannot."""
    try:
        for package in peer.packages:
            import_module(package)
    except ImportError as missing:
        print(f"{peer.name} is left out ({missing}); how to install it stands at the top of {__file__}")
        return False
    return True


if __name__ == "__main__":
    main()
