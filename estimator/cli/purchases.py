"""Lines of purchases as rows of a terminal table and as documents."""

from collections.abc import Sequence

from estimator.buying.purchase import BuyLine, Purchase
from estimator.cli.terminal import print_table
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice
from estimator.wording import bought_item, listed_price, price_text


def print_lines(order: Order, lines: Sequence[BuyLine], last: tuple[str, str] | None = None) -> None:
    """Print a row for each line bought, and a last one; where a supplier's list has another price, that too."""
    money = order.shop.currency.text
    listed = [listed_price(order, line) for line in lines]
    own_list = any(listed)
    rows = [
        [
            _item(order, line),
            _quantity(line),
            *([on_list] if own_list else []),
            price_text(order, line.unit_price),
            money(line.amount),
        ]
        for line, on_list in zip(lines, listed, strict=True)
    ]
    headings = ["Buy", "how many", *(["on their list"] if own_list else []), "each", "together"]
    if last is not None:
        rows.append([last[0], *[""] * (len(headings) - 2), last[1]])
    print_table(headings, rows)


def line_documents(purchase: Purchase) -> list[dict[str, object]]:
    """Return each line bought, with the place and date of its price."""
    return [
        {
            "item": line.item,
            "quantity": str(line.quantity),
            "unit": line.unit,
            "unit_price": str(line.unit_price),
            "amount": str(line.amount),
            "supplier": line.row.supplier,
            "price_from": str(line.row.origin),
            "price_date": str(line.row.day),
        }
        for line in purchase.lines
    ]


def _item(order: Order, line: BuyLine) -> str:
    """Return the item with what it comes in: a pack, a can, or the unit of its measure."""
    item = bought_item(order, line)
    if _measured(line):
        return f"{item}, by {line.unit}"
    return f"{item}, {line.unit}" if line.unit.startswith(("pack", "can", "set")) else item


def _measured(line: BuyLine) -> bool:
    return isinstance(line.row, LumberPrice) and line.row.length_in is None


def _quantity(line: BuyLine) -> str:
    return f"{line.quantity} {line.unit}" if _measured(line) else str(line.quantity)
