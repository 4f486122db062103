"""`estimator quote`: the price to ask, the cost behind it, and the workbook."""

from pathlib import Path

from estimator.cli.purchases import line_documents
from estimator.cli.terminal import load_order, print_heading, print_json, print_notices, print_paragraph, print_table
from estimator.costing.quote import kinds_of
from estimator.estimate import Estimate, estimate
from estimator.wording import percent, profit_title, tax_title


def quote_command(path: Path, quantity: int | None, *, as_json: bool, out: Path | None, replace: bool) -> None:
    """Print the quote; with `out` write the whole workbook."""
    result = estimate(load_order(path, quantity))
    if out is not None:
        from estimator.workbook.book import write_quote_workbook  # noqa: PLC0415 - openpyxl loads when a file is asked for

        write_quote_workbook(result, out, replace=replace)
    if as_json:
        print_json(quote_document(result), result.notices)
    else:
        _print(result)
        if out is not None:
            print(f"\nWrote {out}")
    print_notices(result.notices)


def _print(result: Estimate) -> None:
    order, quote, money = result.order, result.quote, result.order.shop.currency.text
    print_paragraph(order.title)
    if order.client:
        print(f"for {order.client}" + (f", reference {order.reference}" if order.reference else ""))
    print(f"dated {quote.day}, price good until {quote.valid_until}")
    print_heading("Price")
    rows = [[cost.build.name, str(cost.quantity), money(cost.unit_price), money(cost.amount)] for cost in quote.costs]
    rows.append(["Subtotal", "", "", money(quote.subtotal)])
    rows.append([tax_title(order), "", "", money(quote.tax)])
    rows.append(["Total", "", "", money(quote.total)])
    if quote.deposit:
        rows.append([f"Deposit, {order.shop.deposit_percent} %", "", "", money(quote.deposit)])
    print_table(["", "units", "each", "together"], rows)
    kinds = kinds_of(quote.costs)
    print_heading("What it costs (for the shop, not for the client)")
    print_table(
        ["", *(cost.build.name for cost in quote.costs)],
        [
            *([kind.capitalize(), *(money(cost.by_kind[kind]) for cost in quote.costs)] for kind in kinds),
            ["Cost of all", *(money(cost.cost) for cost in quote.costs)],
            ["Cost of one", *(money(cost.unit_cost) for cost in quote.costs)],
            [profit_title(quote), *(money(cost.price_before_rounding) for cost in quote.costs)],
            [f"Rounded up to {order.shop.round_up_to:,f}", *(money(cost.unit_price) for cost in quote.costs)],
            ["Hours for one", *(f"{cost.minutes / cost.quantity / 60:.1f}" for cost in quote.costs)],
        ],
    )
    print(
        f"\nProfit {money(quote.profit)} before income tax: a margin of {percent(quote.margin)} on the price,\n"
        f"a markup of {percent(quote.markup)} on the cost."
    )


def quote_document(result: Estimate) -> dict[str, object]:
    """Return the quote, the costs and the priced bill of materials as one document."""
    order, quote = result.order, result.quote
    return {
        "order": order.title,
        "client": order.client,
        "reference": order.reference,
        "date": str(quote.day),
        "valid_until": str(quote.valid_until),
        "currency": order.shop.currency.code,
        "subtotal": str(quote.subtotal),
        "tax": str(quote.tax),
        "tax_percent": str(order.shop.tax.percent),
        "total": str(quote.total),
        "deposit": str(quote.deposit),
        "cost": str(quote.cost),
        "profit": str(quote.profit),
        "margin_percent": f"{quote.margin * 100:.2f}",
        "markup_percent": f"{quote.markup * 100:.2f}",
        "builds": [
            {
                "name": cost.build.name,
                "quantity": cost.quantity,
                "cost_by_kind": {kind: str(cost.by_kind[kind]) for kind in kinds_of(quote.costs)},
                "cost": str(cost.cost),
                "unit_cost": str(cost.unit_cost),
                "unit_price_before_rounding": str(cost.price_before_rounding),
                "unit_price": str(cost.unit_price),
                "amount": str(cost.amount),
                "hours": f"{cost.minutes / 60:.2f}",
            }
            for cost in quote.costs
        ],
        "bill_of_materials": [
            {"kind": purchase.kind, **line}
            for purchase in result.buy_sheet.purchases
            for line in line_documents(purchase)
        ],
        "labour": [
            {
                "for": line.scope,
                "operation": line.operation.name,
                "per": line.operation.per,
                "count": str(line.count),
                "minutes": str(line.minutes),
                "rate_per_hour": str(line.rate.per_hour),
                "amount": str(line.amount),
                "from": str(line.operation.origin),
            }
            for line in result.labour
        ],
    }
