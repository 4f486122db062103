"""The commands and their arguments. What a command needs is imported when it runs, so that --help answers at once."""

import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from estimator.cli.asked_for import AskedFor, note_path, note_quantity
from estimator.cli.out_option import Out, Replace, check_replace
from estimator.cli.prices import app as prices
from estimator.errors import EstimatorError

app = typer.Typer(
    help="Price small batches of solid-wood furniture: what to buy, how to cut it, what it costs, what to ask.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

OrderPath = Annotated[
    Path,
    typer.Argument(
        metavar="ORDER", help="Folder of an order (order.toml) or of one build (build.toml).", callback=note_path
    ),
]
Quantity = Annotated[
    int | None,
    typer.Option(
        min=1, max=10_000, help="How many to make, where ORDER is one build. [default: 1]", callback=note_quantity
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document instead.")]


@app.command()
def check(order: OrderPath, quantity: Quantity = None, as_json: AsJson = False) -> None:
    """Read all lists and prices and report what to mend."""
    from estimator.cli.check import check_command  # noqa: PLC0415

    check_command(order, quantity, as_json=as_json)


@app.command()
def takeoff(order: OrderPath, quantity: Quantity = None, as_json: AsJson = False) -> None:
    """Count what the order takes: wood, hardware, finish, work, weight."""
    from estimator.cli.takeoff import takeoff_command  # noqa: PLC0415

    takeoff_command(order, quantity, as_json=as_json)


@app.command()
def buy(
    order: OrderPath, quantity: Quantity = None, as_json: AsJson = False, out: Out = None, replace: Replace = False
) -> None:
    """Say what to buy, and how to cut the boards."""
    check_replace(out, replace=replace)
    from estimator.cli.buy import buy_command  # noqa: PLC0415

    buy_command(order, quantity, as_json=as_json, out=out, replace=replace)


@app.command()
def stock(
    order: OrderPath,
    quantity: Quantity = None,
    as_json: AsJson = False,
    take: Annotated[bool, typer.Option("--take", help="Write the list of stock as it is after the job.")] = False,
) -> None:
    """Say what the job takes of the boards on hand and leaves."""
    from estimator.cli.stock import stock_command  # noqa: PLC0415

    stock_command(order, quantity, as_json=as_json, take=take)


@app.command()
def finish(order: OrderPath, quantity: Quantity = None, as_json: AsJson = False) -> None:
    """Say how much stain or oil to buy, and why."""
    from estimator.cli.finish import finish_command  # noqa: PLC0415

    finish_command(order, quantity, as_json=as_json)


@app.command()
def quote(
    order: OrderPath, quantity: Quantity = None, as_json: AsJson = False, out: Out = None, replace: Replace = False
) -> None:
    """Work out cost and price; with --out write the quote workbook."""
    check_replace(out, replace=replace)
    from estimator.cli.quote import quote_command  # noqa: PLC0415

    quote_command(order, quantity, as_json=as_json, out=out, replace=replace)


@app.command()
def compare(
    order: OrderPath,
    quantities: Annotated[
        str, typer.Option(metavar="1,4,12", help="Quantities to compare. [default: the shop's settings]")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Hold one against a dozen: cost and price of one at each quantity."""
    from estimator.cli.compare import compare_command  # noqa: PLC0415

    compare_command(order, quantities, as_json=as_json)


app.add_typer(prices, name="prices")


def run() -> None:
    """Run the command line; what the user can mend goes to standard error, with exit code 1."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that lacks a sign shows ? instead of failing
    asked = AskedFor()
    try:
        app(obj=asked)
    except EstimatorError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        count = len(error.faults)
        print(f"\n{count} fault{'s' * (count > 1)} to mend; nothing was written.", file=sys.stderr)
        if any(fault.rows for fault in error.faults):
            from estimator.cli.rows_to_paste import print_rows_to_paste  # noqa: PLC0415

            print_rows_to_paste(error.faults, asked, date.today())  # noqa: DTZ011 - the day on the user's own calendar
        sys.exit(1)
