"""The small CSV tables that lie beside the modules of this room."""

import csv
from pathlib import Path


def read_table(name: str) -> list[dict[str, str]]:
    """Return the rows of one of this room's tables, each as text by column name."""
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
