"""Lines of purchases as rows of a terminal table and as documents."""

from collections.abc import Iterable

from estimator.buying.purchase import BuyLine, Purchase
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice
from estimator.wording import bought_item, price_text

PURCHASE_HEADINGS = ["Buy", "how many", "each", "together"]


def purchase_rows(order: Order, purchases: Iterable[Purchase]) -> list[list[str]]:
    """Return a row for each line bought."""
    return line_rows(order, (line for purchase in purchases for line in purchase.lines))


def line_rows(order: Order, lines: Iterable[BuyLine]) -> list[list[str]]:
    """Return a row for each of some lines."""
    money = order.shop.currency.text
    return [
        [_item(order, line), _quantity(line), price_text(order, line.unit_price), money(line.amount)] for line in lines
    ]


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
