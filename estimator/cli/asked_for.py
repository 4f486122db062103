"""The order a command was asked about, as typed: named again where another command is suggested for it."""

import shlex
from dataclasses import dataclass
from pathlib import Path

import typer


@dataclass(slots=True)
class AskedFor:
    """What was typed behind the name of a command; noted while the command line is read."""

    path: str = ""
    quantity: int | None = None

    @property
    def words(self) -> str:
        """Return the words to type behind the name of another command."""
        quantity = f" --quantity {self.quantity}" if self.quantity is not None else ""
        return f"{shlex.quote(self.path)}{quantity}" if self.path else ""


def note_path(context: typer.Context, path: Path) -> Path:
    """Note the folder of an order, and return it as it is."""
    if isinstance(context.obj, AskedFor):
        context.obj.path = str(path)
    return path


def note_quantity(context: typer.Context, quantity: int | None) -> int | None:
    """Note how many of a build, and return it as it is."""
    if isinstance(context.obj, AskedFor):
        context.obj.quantity = quantity
    return quantity
