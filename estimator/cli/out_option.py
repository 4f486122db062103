"""The options of commands that write a workbook: --out and --replace."""

from pathlib import Path
from typing import Annotated

import typer


def _workbook_name(path: Path | None) -> Path | None:
    if path is not None and path.suffix.lower() != ".xlsx":
        raise typer.BadParameter(f'"{path.name}" is no name for a workbook; end it in .xlsx')
    return path


def check_replace(out: Path | None, *, replace: bool) -> None:
    """Refuse --replace without --out as a usage error."""
    if replace and out is None:
        raise typer.BadParameter("there is nothing to replace without --out FILE.xlsx", param_hint="--replace")


Out = Annotated[Path | None, typer.Option(metavar="FILE.xlsx", help="Write a workbook there.", callback=_workbook_name)]
Replace = Annotated[bool, typer.Option("--replace", help="Let the workbook replace a file of that name.")]
