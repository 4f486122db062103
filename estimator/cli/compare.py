"""`estimator compare`: what one costs and sells for at each quantity, and through what more of them save."""

import re
from pathlib import Path

import typer

from estimator.cli.terminal import load_order, print_heading, print_json, print_notices, print_paragraph, print_table
from estimator.costing.compare import Comparison, QuantityCost
from estimator.estimate import compare_quantities, estimate
from estimator.reading.order import Order


def compare_command(path: Path, quantities: str, *, as_json: bool) -> None:
    """Print the comparison for each build of an order, each made on its own."""
    wanted = _quantities(quantities)
    order = load_order(path, None)
    notices = estimate(order).notices
    comparisons = compare_quantities(order, wanted)
    if as_json:
        print_json(compare_document(order, comparisons), notices)
    else:
        print_paragraph(order.title)
        for comparison in comparisons:
            _print(order, comparison)
    print_notices(notices)


def _quantities(text: str) -> tuple[int, ...]:
    if not text:
        return ()
    words = [word.strip() for word in text.split(",")]
    if not all(re.fullmatch("[0-9]{1,5}", word) and 1 <= int(word) <= 10_000 for word in words):
        raise typer.BadParameter(
            f'"{text}" are no quantities; write whole numbers up to 10000, like 1,4,12', param_hint="--quantities"
        )
    return tuple(map(int, words))


def _print(order: Order, comparison: Comparison) -> None:
    money = order.shop.currency.text
    print_heading(f"{comparison.build}: cost and price of one")
    print_paragraph(
        "Each quantity is planned anew, for this build on its own: work for a whole order, such as fetching lumber, "
        "falls on it alone."
    )
    print()
    columns = comparison.quantities

    print_table(
        ["Made together", *(str(column.quantity) for column in columns)],
        [
            *([kind.capitalize(), *(f"{column.by_kind[kind]:,}" for column in columns)] for kind in comparison.kinds),
            ["Cost of one", *(f"{column.unit_cost:,}" for column in columns)],
            ["Price of one", *(f"{column.unit_price:,}" for column in columns)],
            ["Hours for one", *(f"{column.minutes / 60:.1f}" for column in columns)],
        ],
    )
    last = columns[-1]
    if last.quantity > 1:
        print(
            f"\nOne of {last.quantity} costs {money(last.saved_in_all)} less than one made alone "
            f"({money(last.unit_cost)} for {money(columns[0].unit_cost)}):"
        )
        print_table(
            ["Saved on", "through", *(str(column.quantity) for column in columns[1:])],
            [
                [kind.capitalize(), cause, *(f"{column.saved[kind]:,}" for column in columns[1:])]
                for kind, cause in comparison.causes.items()
            ],
            left=2,
        )


def compare_document(order: Order, comparisons: tuple[Comparison, ...]) -> dict[str, object]:
    """Return the comparisons as one document."""
    return {
        "order": order.title,
        "currency": order.shop.currency.code,
        "builds": [
            {"name": one.build, "quantities": [_quantity_document(column) for column in one.quantities]}
            for one in comparisons
        ],
    }


def _quantity_document(column: QuantityCost) -> dict[str, object]:
    return {
        "quantity": column.quantity,
        "unit_cost": str(column.unit_cost),
        "unit_cost_by_kind": {kind: str(amount) for kind, amount in column.by_kind.items()},
        "unit_price": str(column.unit_price),
        "unit_minutes": str(column.minutes),
        "saved_against_one": {kind: str(amount) for kind, amount in column.saved.items()},
    }
