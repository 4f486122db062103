"""Cutting jobs made by recipe, the same ones for the same seed: a workshop's, jobs of known optimum, published classes.

Instances are drawn anew by the published recipes and are none of the published files, so that proofs and seconds can be
set beside printed tables by class, never by instance. Recipes are written down from memory unless they say otherwise.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, gcd, isqrt
from random import Random

from estimator.buying.cutting.job import CuttingJob, Piece, Stock


@dataclass(frozen=True, kw_only=True, slots=True)
class Instance:
    """A job, and the cost of its cheapest plan where the way it was made says so."""

    job: CuttingJob
    optimum: int | None = None


def seeded(recipe: str, seed: int) -> Random:
    """Return the random numbers of a recipe's instance."""
    return Random(f"{recipe} {seed}")  # noqa: S311 - jobs that come out the same each time


def pieces_of(lengths: Iterable[int]) -> tuple[Piece, ...]:
    """Return equal lengths as one kind of piece, the longest first."""
    return tuple(Piece(length=length, demand=count) for length, count in sorted(Counter(lengths).items(), reverse=True))


# ---- A workshop's jobs -----------------------------------------------------------------------------------------------

LENGTHS_IN = (72, 96, 120, 144, 192)
# Cents a foot at each of the five lengths: long boards dearer, all the same, long boards cheaper.
CENTS_PER_FT = {
    "rise": (310, 325, 340, 365, 410),
    "flat": (350, 350, 350, 350, 350),
    "fall": (410, 370, 350, 340, 330),
}
UGLY_LENGTHS_IN = (72, 84, 96, 108, 120, 144, 168, 192)
PRICE_LISTS = (*CENTS_PER_FT, "ugly")
# Left-overs on the rack, in quarters of an inch, and how many of each.
OFFCUTS_QUARTERS = {126: 2, 189: 1, 240: 1}
TOKEN_PRICE = 100  # cents for an offcut, at the price lists that are not ugly
TRIM_IN = 1  # half an inch off each end of a board


def list_stocks(prices: str, per_inch: int) -> tuple[Stock, ...]:
    """Return the boards of a price list in whole cents, as long as they are without their trims."""
    return tuple(
        Stock(length=(length - TRIM_IN) * per_inch, price=cents * length // 12)
        for length, cents in zip(LENGTHS_IN, CENTS_PER_FT[prices], strict=True)
    )


def ugly_stocks(random: Random, per_inch: int) -> tuple[Stock, ...]:
    """Return eight lengths at prices that follow no rule and have no cent in common."""
    while True:
        prices = [random.randint(300, 420) * length // 12 + random.randint(0, 99) for length in UGLY_LENGTHS_IN]
        if gcd(*prices) == 1:
            lengths = [(length - TRIM_IN) * per_inch for length in UGLY_LENGTHS_IN]
            return tuple(Stock(length=n, price=price) for n, price in zip(lengths, prices, strict=True))


def offcut_stocks(price: int, per_inch: int) -> tuple[Stock, ...]:
    """Return the offcuts of the rack, trimmed like boards."""
    return tuple(
        Stock(length=(quarters - 4 * TRIM_IN) * per_inch // 4, price=price, limit=count)
        for quarters, count in OFFCUTS_QUARTERS.items()
    )


def chairs_job(
    *, types: int, chairs: int, prices: str, seed: int, per_inch: int = 16, offcuts: bool = False
) -> CuttingJob:
    """Return parts of 5 to 60 in, 1, 2 or 4 to a chair; kerf 1/8 in. Offcuts are free at ugly prices, else a token.

    The parts of one seed are the same at each price list and number of chairs.
    """
    ugly = prices == "ugly"
    stocks = ugly_stocks(seeded("ugly", seed), per_inch) if ugly else list_stocks(prices, per_inch)
    if offcuts:
        stocks += offcut_stocks(0 if ugly else TOKEN_PRICE, per_inch)
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    pieces = tuple(
        Piece(length=random.randint(5 * per_inch, 60 * per_inch), demand=random.choice((1, 2, 4)) * chairs)
        for _ in range(types)
    )
    return CuttingJob(stocks=stocks, pieces=pieces, kerf=per_inch // 8)


# ---- Jobs whose optimum is known: full boards cut up, so that a plan without waste exists ----------------------------

ZERO_WASTE_KINDS = ("proportional", "best rate", "offcuts")


def cut_up(random: Random, length: int, kerf: int, shortest: int, most: int) -> list[int]:
    """Return up to `most` pieces, none under the shortest, that fill a board with the kerfs between them."""
    count = random.randint(1, min(most, (length + kerf) // (shortest + kerf)))
    spare = length + kerf - count * (shortest + kerf)
    marks = sorted(random.randint(0, spare) for _ in range(count - 1))
    return [shortest + end - start for start, end in zip([0, *marks], [*marks, spare], strict=True)]


def zero_waste(*, kind: str, layouts: int, copies: int, seed: int, per_inch: int = 16) -> Instance:
    """Return full boards cut up: so many ways to cut one, and so many boards of each. Kerf 1/8 in, trims taken off.

    What boards carry, kerfs included, is at least what is wanted, and the plan the pieces came from carries no more.
    It is cheapest, in each kind for its reason:
    "proportional": every board costs the same for what it carries.
    "best rate": only boards were cut up that carry at the least cost.
    "offcuts": all of the limited stock was cut up, which carries for less, and boards of the best rate for the rest.
    """
    random = seeded(f"zero waste {kind} {layouts} {copies} {per_inch}", seed)
    kerf, rate = per_inch // 8, random.randint(1, 9)
    lengths = sorted(random.sample([(length - TRIM_IN) * per_inch for length in UGLY_LENGTHS_IN], random.randint(1, 5)))
    cut = lengths if kind == "proportional" else [random.choice(lengths)]
    boards = [
        Stock(length=n, price=rate * (n + kerf) + (0 if n in cut else random.randint(1, 40 * per_inch)))
        for n in lengths
    ]
    offcuts = []
    if kind == "offcuts":
        for length in random.sample(range(20 * per_inch, 70 * per_inch), random.randint(1, 3)):
            price = random.randint(0, rate * (length + kerf) - 1)
            offcuts.append(Stock(length=length, price=price, limit=random.randint(1, 2)))
    sawn = [(board, copies) for board in random.choices([b for b in boards if b.length in cut], k=layouts)]
    sawn += [(offcut, offcut.limit or 0) for offcut in offcuts]
    lengths_wanted = [length for board, n in sawn for length in n * cut_up(random, board.length, kerf, 4 * per_inch, 6)]
    job = CuttingJob(stocks=(*boards, *offcuts), pieces=pieces_of(lengths_wanted), kerf=kerf)
    return Instance(job=job, optimum=sum(board.price * n for board, n in sawn))


# ---- Published classes, one stock length -----------------------------------------------------------------------------


def packing_job(sizes: Iterable[int], capacity: int) -> CuttingJob:
    """Return the job of filling the fewest bins."""
    return CuttingJob(stocks=(Stock(length=capacity, price=1),), pieces=pieces_of(sizes), kerf=0)


def falkenauer_u(seed: int) -> Instance:
    """Return 120, 250, 500 or 1,000 items of 20 to 100 for bins of 150.

    Falkenauer 1996, A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2. Recipe from memory.
    """
    random, items = seeded("falkenauer u", seed), (120, 250, 500, 1000)[seed % 4]
    return Instance(job=packing_job([random.randint(20, 100) for _ in range(items)], 150))


def falkenauer_t(seed: int) -> Instance:
    """Return 60, 120, 249 or 501 items of 25.0 to 50.0 that were cut three from a bin of 100.0, in tenths.

    Falkenauer 1996, as above. Recipe from memory: the first of three is 38.0 to 49.0, the second from 25.0 up to half
    of the rest. The optimum is a third of the items.
    """
    random, triplets = seeded("falkenauer t", seed), (20, 40, 83, 167)[seed % 4]
    sizes = []
    for _ in range(triplets):
        first = random.randint(380, 490)
        second = random.randint(250, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    return Instance(job=packing_job(sizes, 1000), optimum=triplets)


def scholl_1(seed: int) -> Instance:
    """Return 50 to 500 items of 1, 20 or 30 to 100 for bins of 100, 120 or 150.

    Scholl, Klein, Juergens 1997, BISON, Computers & Operations Research 24, first set. Recipe from memory.
    """
    random = seeded("scholl 1", seed)
    items, capacity, least = random.choice((50, 100, 200, 500)), random.choice((100, 120, 150)), (1, 20, 30)[seed % 3]
    return Instance(job=packing_job([random.randint(least, 100) for _ in range(items)], capacity))


def scholl_2(seed: int) -> Instance:
    """Return 50 to 500 items for bins of 1,000, on average 3, 5, 7 or 9 to a bin, within 20, 50 or 90 % of that.

    Scholl, Klein, Juergens 1997, as above, second set. Recipe from memory.
    """
    random = seeded("scholl 2", seed)
    items, to_a_bin, percent = random.choice((50, 100, 200, 500)), (3, 5, 7, 9)[seed % 4], random.choice((20, 50, 90))
    least, most = ceil(10 * (100 - percent) / to_a_bin), 10 * (100 + percent) // to_a_bin
    return Instance(job=packing_job([random.randint(least, most) for _ in range(items)], 1000))


def scholl_3(seed: int) -> Instance:
    """Return 200 items of 20,000 to 35,000 for bins of 100,000.

    Scholl, Klein, Juergens 1997, as above, third set. Recipe from memory.
    """
    random = seeded("scholl 3", seed)
    return Instance(job=packing_job([random.randint(20_000, 35_000) for _ in range(200)], 100_000))


def schwerin_1(seed: int) -> Instance:
    """Return 100 items of 150 to 200 for bins of 1,000.

    Schwerin, Waescher 1997, The bin-packing problem: a problem generator and some numerical experiments with FFD
    packing and MTP, International Transactions in Operational Research 4. Recipe from memory.
    """
    random = seeded("schwerin 1", seed)
    return Instance(job=packing_job([random.randint(150, 200) for _ in range(100)], 1000))


def schwerin_2(seed: int) -> Instance:
    """Return 120 items of 150 to 200 for bins of 1,000; else as the first set. Recipe from memory."""
    random = seeded("schwerin 2", seed)
    return Instance(job=packing_job([random.randint(150, 200) for _ in range(120)], 1000))


def shared_out(random: Random, kinds: int, total: int) -> list[int]:
    """Return the demands of so many kinds, each its random share of the total, at least 1.

    Gau, Waescher 1995, CUTGEN1, European Journal of Operational Research 84. Recipe from memory.
    """
    shares = [random.uniform(0.1, 0.9) for _ in range(kinds)]
    return [max(1, round(total * share / sum(shares))) for share in shares]


def waescher(seed: int) -> Instance:
    """Return 20 to 50 lengths of up to a half or so of a stock of 10,000, four or so of each.

    In the manner of Waescher, Gau 1996, Heuristics for the integer one-dimensional cutting stock problem, OR Spektrum
    18, by the recipe of CUTGEN1 (from memory). The 17 instances of that name in collections were picked out as hard;
    these are not.
    """
    random = seeded("waescher", seed)
    kinds, longest = random.randint(20, 50), (2500, 4000, 5500)[seed % 3]
    lengths = [random.randint(100, longest) for _ in range(kinds)]
    demands = shared_out(random, kinds, 4 * kinds)
    wanted = [length for length, demand in zip(lengths, demands, strict=True) for _ in range(demand)]
    return Instance(job=packing_job(wanted, 10_000))


def bins_by_hand(sizes: Iterable[int], capacity: int) -> int:
    """Return how many bins first-fit decreasing fills."""
    rooms: list[int] = []
    for size in sorted(sizes, reverse=True):
        place = next((n for n, room in enumerate(rooms) if room >= size), len(rooms))
        if place == len(rooms):
            rooms.append(capacity)
        rooms[place] -= size
    return len(rooms)


def bins_at_least(sizes: Sequence[int], capacity: int) -> int:
    """Return a bound on the bins: the large items one each, the rest by what room those leave.

    Martello, Toth 1990, Knapsack Problems, chapter 8, bound L2. From memory.
    """
    bounds = []
    for small in {size for size in sizes if 2 * size <= capacity} | {0}:
        alone = sum(size > capacity - small for size in sizes)
        halves = [size for size in sizes if capacity - small >= size > capacity / 2]
        rest = sum(size for size in sizes if small <= size <= capacity / 2)
        room = len(halves) * capacity - sum(halves)
        bounds.append(alone + len(halves) + max(0, ceil((rest - room) / capacity)))
    return max(bounds)


def hard28(seed: int) -> Instance:
    """Return 160, 180 or 200 items of 1 to 800 for bins of 1,000 that neither first fit nor a simple bound settles.

    In the manner of Schoenfield 2002, Fast, exact solution of open bin packing problems without linear programming,
    technical report. Recipe from memory; the 28 were the hardest of very many, these are the first drawn where
    first-fit decreasing misses the bound of Martello and Toth.
    """
    random, items = seeded("hard28", seed), (160, 180, 200)[seed % 3]
    while True:
        sizes = [random.randint(1, 800) for _ in range(items)]
        if bins_by_hand(sizes, 1000) > bins_at_least(sizes, 1000):
            return Instance(job=packing_job(sizes, 1000))


# ---- Published classes, several stock lengths ------------------------------------------------------------------------


def variable_sized(seed: int) -> Instance:
    """Return 100 to 500 items of 1, 20 or 50 to 100 for bins of 3 or 5 sizes, at a cost of 100 times their root.

    Sizes and items: Monaci 2002, Algorithms for packing and scheduling problems, thesis, Bologna; concave costs:
    Correia, Gouveia, Saldanha-da-Gama 2008, Computers & Operations Research 35; both used by Crainic, Perboli, Rei,
    Tadei 2011, Computers & Operations Research 38. Recipe from memory.
    """
    random = seeded("variable sized", seed)
    sizes = ((100, 120, 150), (60, 80, 100, 120, 150))[seed % 2]
    least, items = (1, 20, 50)[seed % 3], random.choice((100, 200, 500))
    stocks = tuple(Stock(length=size, price=isqrt(10_000 * size)) for size in sizes)
    return Instance(
        job=CuttingJob(stocks=stocks, pieces=pieces_of(random.randint(least, 100) for _ in range(items)), kerf=0)
    )


def variable_sized_linear(seed: int) -> Instance:
    """Return the same at a cost equal to the size, with no more bins of a size than would hold everything.

    Monaci 2002, as above. Recipe from memory.
    """
    random = seeded("variable sized linear", seed)
    sizes = ((100, 120, 150), (60, 80, 100, 120, 150))[seed % 2]
    least, items = (1, 20, 50)[seed % 3], random.choice((100, 200, 500))
    pieces = pieces_of(random.randint(least, 100) for _ in range(items))
    material = sum(piece.length * piece.demand for piece in pieces)
    # Twice the material for the largest, so that there is a plan even where no two items share a bin.
    stocks = tuple(
        Stock(length=size, price=size, limit=ceil((2 if size == sizes[-1] else 1) * material / size)) for size in sizes
    )
    return Instance(job=CuttingJob(stocks=stocks, pieces=pieces, kerf=0))


def limited_lengths(seed: int) -> Instance:
    """Return 20 or 40 lengths of 10 to 7,500, up to 100 of each, from four limited stocks of 5,000 to 10,000.

    In the manner of Belov, Scheithauer 2002, A cutting plane algorithm for the one-dimensional cutting stock problem
    with multiple stock lengths, European Journal of Operational Research 141. Recipe from memory: material is what
    costs; the longest stock alone would do, each other carries up to a half.
    """
    random = seeded("limited lengths", seed)
    pieces = pieces_of(
        length for _ in range((20, 40)[seed % 2]) for length in random.randint(1, 100) * [random.randint(10, 7500)]
    )
    material = sum(piece.length * piece.demand for piece in pieces)
    shorter = [random.randint(5000, 9999) for _ in range(3)]
    stocks = [Stock(length=n, price=n, limit=random.randint(1, material // n // 2 + 1)) for n in shorter]
    stocks.append(Stock(length=10_000, price=10_000, limit=sum(piece.demand for piece in pieces)))
    return Instance(job=CuttingJob(stocks=tuple(stocks), pieces=pieces, kerf=0))


def zero_waste_class(seed: int) -> Instance:
    """Return full boards cut up, 4 to 40 ways, in turn of each kind."""
    return zero_waste(
        kind=ZERO_WASTE_KINDS[seed % 3], layouts=(4, 10, 20, 40)[seed % 4], copies=(1, 5)[seed % 2], seed=seed
    )


PUBLISHED: dict[str, Callable[[int], Instance]] = {
    "Falkenauer U": falkenauer_u,
    "Falkenauer T": falkenauer_t,
    "Scholl 1": scholl_1,
    "Scholl 2": scholl_2,
    "Scholl 3": scholl_3,
    "Schwerin 1": schwerin_1,
    "Schwerin 2": schwerin_2,
    "Waescher": waescher,
    "Hard28 type": hard28,
    "Variable-sized, concave": variable_sized,
    "Variable-sized, linear": variable_sized_linear,
    "Limited lengths": limited_lengths,
    "Zero waste": zero_waste_class,
}
