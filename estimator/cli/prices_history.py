"""`estimator prices history`: what an item has cost over time, drawn in plain characters."""

from decimal import Decimal
from pathlib import Path

from estimator.cli.terminal import print_heading, print_paragraph, print_table
from estimator.errors import EstimatorError, Findings
from estimator.keeping.history import ItemHistory, price_histories
from estimator.keeping.take_over import HISTORY_FILE
from estimator.reading.lists import shown_path
from estimator.reading.shop import SHOP_FILE, Shop, find_shop, read_shop

BAR = 30  # signs of the highest price


def history_command(words: str, path: Path) -> None:
    """Print the prices of every item with these words in its name."""
    findings = Findings()
    shop = nearest_shop(path, findings)
    findings.raise_faults()
    history = shop.price_tables / HISTORY_FILE
    if not history.exists():
        print(f"No list has been taken over so far: there is no {shown_path(history)}.")
        return
    for item in price_histories(history, words):
        _print(item)


def nearest_shop(path: Path, findings: Findings) -> Shop:
    """Return the settings that hold for a folder. Raises EstimatorError where there are none."""
    shop_path = find_shop(path.resolve())
    if shop_path is None:
        raise EstimatorError.single(
            shown_path(path), f"has no {SHOP_FILE} in it or above it", "name the folder of your shop"
        )
    return read_shop(shop_path, findings)


def _print(history: ItemHistory) -> None:
    print_heading(history.item)
    print_paragraph(f"{history.supplier}{f', per {history.per}' if history.per else ''}; from the day it held:")
    highest = max((change.price for change in history.changes if change.price), default=Decimal(1))
    rows, before = [], None
    for change in history.changes:
        if change.price is None:
            rows.append([str(change.day), "no more on the list", "", "", change.source])
        else:
            bar = "=" * max(1, round(change.price / highest * BAR))
            rows.append(
                [str(change.day), bar, _price_text(change.price), _change_text(before, change.price), change.source]
            )
        before = change.price
    print_table(["Day", "", "price", "change", "list"], rows, left=2)


def _price_text(price: Decimal) -> str:
    return f"{price:.2f}" if price == round(price, 2) else str(price.normalize())


def _change_text(before: Decimal | None, price: Decimal) -> str:
    return f"{(price / before - 1) * 100:+.1f} %" if before else ""
