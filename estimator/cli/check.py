"""`estimator check`: reads everything an order needs and says what to mend, without planning or writing anything."""

from pathlib import Path

from estimator.cli.terminal import load_order, print_json, print_notices
from estimator.estimate import Estimate, estimate
from estimator.reading.lists import shown_path
from estimator.reading.order import Order


def check_command(path: Path, quantity: int | None, *, as_json: bool) -> None:
    """Print what was read, and notices; faults are raised and reported by the caller."""
    order = load_order(path, quantity)
    result = estimate(order)
    if as_json:
        print_json({"order": order.title, "faults": [], "notices": [str(one) for one in result.notices]})
        return
    print(f"{order.title}: all lists and prices are in order.")
    for line in _summary(order, result):
        print(f"  {line}")
    print_notices(result.notices)


def _summary(order: Order, result: Estimate) -> list[str]:
    lines = [
        f"{item.quantity} {item.build.name}: {len(item.build.parts)} parts, {len(item.build.hardware)} hardware rows, "
        f"{len(item.build.finish)} finish steps, {len(item.build.labour)} operations"
        for item in order.items
    ]
    prices = order.prices
    rows = sum(map(len, (prices.lumber, prices.hardware, prices.finishes, prices.consumables)))
    oldest = min((line.bought.row.day for line in result.bill), default=None)
    lines.append(
        f"{rows} price rows in {shown_path(prices.folder)}"
        + (f"; the oldest used here is of {oldest}" if oldest else "")
    )
    lines.append(f"{len(result.notices)} notice{'' if len(result.notices) == 1 else 's'}")
    return lines
