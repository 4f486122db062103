"""`estimator check`: reads everything an order needs and says what to mend, without planning or writing anything."""

from pathlib import Path

from estimator.cli.terminal import counted, load_order, print_json, print_notices, print_paragraph
from estimator.errors import EstimatorError
from estimator.estimate import Estimate, estimate
from estimator.reading.lists import shown_path
from estimator.reading.order import Order


def check_command(path: Path, quantity: int | None, *, as_json: bool) -> None:
    """Print what was read, and notices; faults are raised and reported by the caller, as JSON here too."""
    try:
        result = estimate(load_order(path, quantity))
    except EstimatorError as error:
        if as_json:
            print_json({"faults": [str(fault) for fault in error.faults]}, ())
        raise
    if as_json:
        print_json({"faults": []}, result.notices)
    else:
        _print(result)
    print_notices(result.notices)


def _print(result: Estimate) -> None:
    print_paragraph(f"{result.order.title}: all lists and prices are in order.")
    for line in _summary(result.order, result):
        print(f"  {line}")


def _summary(order: Order, result: Estimate) -> list[str]:
    lines = [
        f"{item.quantity} {item.build.name}: {counted(len(item.build.parts), 'part')}, "
        f"{counted(len(item.build.hardware), 'hardware row')}, {counted(len(item.build.finish), 'finish step')}, "
        f"{counted(len(item.build.labour), 'operation')}"
        for item in order.items
    ]
    prices = order.prices
    rows = sum(map(len, (prices.lumber, prices.hardware, prices.finishes, prices.consumables)))
    oldest = min((line.bought.row.day for line in result.bill), default=None)
    lines.append(f"{counted(rows, 'price row')} in {shown_path(prices.folder)}")
    if oldest:
        lines.append(f"the oldest price used here is of {oldest}")
    lines.append(counted(len(result.notices), "notice"))
    return lines
