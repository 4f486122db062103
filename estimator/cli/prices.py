"""`estimator prices ...`: price lists of suppliers become tables of the shop. The commands and their arguments."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from estimator.cli.out_option import Out, Replace, check_replace

app = typer.Typer(
    help="Keep the shop's prices: by hand, from suppliers' lists, over time.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

ListFile = Annotated[Path, typer.Argument(metavar="FILE", help="Price list of a supplier: .csv or .xlsx.")]
MapFile = Annotated[
    Path, typer.Argument(metavar="MAP", help="Map of the supplier's columns, in your shop: SUPPLIER.map.toml.")
]
ShopFolder = Annotated[
    Path,
    typer.Argument(
        metavar="SHOP_FOLDER", help="Folder of your shop. [default: the one you stand in]", show_default=False
    ),
]
Yes = Annotated[bool, typer.Option("--yes", help="Take over without asking all but the prices that jump.")]
Jumps = Annotated[bool, typer.Option("--jumps", help="With --yes: the prices that jump too.")]


def _map_name(path: Path | None) -> Path | None:
    if path is not None and not path.name.endswith(".map.toml"):
        raise typer.BadParameter(f'"{path.name}" is no name for a map; end it in .map.toml')
    return path


def _check_jumps(*, yes: bool, jumps: bool) -> None:
    if jumps and not yes:
        raise typer.BadParameter("it goes with --yes; without that you are asked about jumps", param_hint="--jumps")


@app.command("map")
def map_columns(
    file: ListFile,
    out: Annotated[
        Path | None, typer.Option(metavar="SUPPLIER.map.toml", help="Write the map there.", callback=_map_name)
    ] = None,
) -> None:
    """Propose which of a list's columns is which of yours."""
    from estimator.cli.prices_map import map_command  # noqa: PLC0415

    map_command(file, out)


@app.command()
def take(file: ListFile, map_path: MapFile, yes: Yes = False, jumps: Jumps = False) -> None:
    """Show what changes with a list, ask, and take it over."""
    _check_jumps(yes=yes, jumps=jumps)
    from estimator.cli.prices_take import take_command  # noqa: PLC0415

    take_command(file, map_path, yes=yes, jumps=jumps)


@app.command()
def add(
    path: Annotated[
        Path,
        typer.Argument(
            metavar="PATH",
            help="Folder of an order or a build, or of your shop. [default: the one you stand in]",
            show_default=False,
        ),
    ] = Path(),
    quantity: Annotated[
        int | None, typer.Option(min=1, max=10_000, help="How many to make, where PATH is one build. [default: 1]")
    ] = None,
) -> None:
    """Ask for the prices that an order lacks, or any, and add them."""
    from estimator.cli.prices_add import add_command  # noqa: PLC0415

    add_command(path, quantity, date.today())  # noqa: DTZ011 - the day on the user's own calendar


@app.command()
def check(shop: ShopFolder = Path()) -> None:
    """Read all price tables; say what to mend and what looks wrong."""
    from estimator.cli.prices_check import check_command  # noqa: PLC0415

    check_command(shop)


@app.command()
def history(
    item: Annotated[str, typer.Argument(metavar="ITEM", help='Words of its name, such as "larch 2x4".')],
    shop: ShopFolder = Path(),
    out: Out = None,
    replace: Replace = False,
) -> None:
    """Show what an item has cost over time."""
    check_replace(out, replace=replace)
    from estimator.cli.prices_history import history_command  # noqa: PLC0415

    history_command(item, shop, out=out, replace=replace)


@app.command()
def refresh(
    shop: ShopFolder = Path(),
    offline: Annotated[bool, typer.Option("--offline", help="Ask no server; use the copies kept here.")] = False,
    yes: Yes = False,
    jumps: Jumps = False,
) -> None:
    """Fetch the lists of addresses.toml, ask, and take them over."""
    _check_jumps(yes=yes, jumps=jumps)
    from estimator.cli.prices_refresh import refresh_command  # noqa: PLC0415

    refresh_command(shop, offline=offline, yes=yes, jumps=jumps)
