"""`estimator buy`: what to buy, at what price, and how to cut the boards."""

from pathlib import Path

from estimator.buying.boards import BoardPurchase, is_usable
from estimator.buying.volume import VolumePurchase
from estimator.cli.purchases import PURCHASE_HEADINGS, line_documents, purchase_rows
from estimator.cli.terminal import (
    counted,
    load_order,
    print_heading,
    print_json,
    print_notices,
    print_paragraph,
    print_table,
)
from estimator.estimate import Estimate, estimate
from estimator.measures import M3_PER_FT3, measures
from estimator.reading.order import Order
from estimator.units import board_length_text, length_text
from estimator.wording import MARKS_TEXT, allowance_text, layout_runs, left_over_rows, plan_text


def buy_command(path: Path, quantity: int | None, *, as_json: bool, out: Path | None, replace: bool) -> None:
    """Print the buy sheet and the cutting list; with `out` write them as a workbook."""
    result = estimate(load_order(path, quantity))
    if out is not None:
        from estimator.workbook.book import write_buy_workbook  # noqa: PLC0415 - openpyxl loads when a file is asked for

        write_buy_workbook(result, out, replace=replace)
    if as_json:
        print_json(buy_document(result), result.notices)
    else:
        _print(result)
        if out is not None:
            print(f"\nWrote {out}")
    print_notices(result.notices)


def _print(result: Estimate) -> None:
    order, sheet = result.order, result.buy_sheet
    print_paragraph(f"{order.title}: {order.shop.currency.text(sheet.amount)} of material")
    for heading, purchases in (
        ("Lumber", (*sheet.boards, *sheet.volumes)),
        ("Hardware", sheet.hardware),
        ("Finish", sheet.finish),
        ("Consumables", sheet.consumables),
    ):
        if purchases:
            print_heading(heading)
            print_table(PURCHASE_HEADINGS, purchase_rows(order, purchases))
    for volume in sheet.volumes:
        print_paragraph(f"{volume.title}: {allowance_text(volume)}")
    if sheet.boards:
        print_heading("How to cut the boards")
        print_paragraph(MARKS_TEXT)
    for purchase in sheet.boards:
        _print_cutting(order, purchase)
    print_heading("Left over when the job is done")
    left_over = left_over_rows(order, sheet)
    if left_over:
        print_table(["What", "how much"], [list(row) for row in left_over])
    else:
        print("Nothing worth keeping.")


def _print_cutting(order: Order, purchase: BoardPurchase) -> None:
    print()
    print_paragraph(f"{purchase.title}: {plan_text(order, purchase)}")
    for layout in purchase.layouts:
        count = counted(layout.boards, "board")
        left = length_text(layout.left_over_in, order.shop.unit)
        over = "nothing left" if not layout.left_over_in else f"{left} left"
        keep = ", keep it" if is_usable(layout, order.shop.saw) else ""
        print(f"\n{count} of {board_length_text(layout.board_length_in, order.shop.unit)}, {over}{keep}:")
        rows = [[f"{count:4}", what, marks] for count, what, marks in layout_runs(order, layout)]
        print_table(["", "cut, longest first", "marks from the squared end"], rows, left=2)


def buy_document(result: Estimate) -> dict[str, object]:
    """Return the buy sheet with the cutting list as one document."""
    order, sheet = result.order, result.buy_sheet
    return {
        "order": order.title,
        "currency": order.shop.currency.code,
        "amount": str(sheet.amount),
        "boards": [_boards_document(order, purchase) for purchase in sheet.boards],
        "lumber_by_volume": [_volume_document(purchase) for purchase in sheet.volumes],
        "hardware": [
            {"item": one.title, "left_over": one.left_over, "spare": one.need.spares, "lines": line_documents(one)}
            for one in sheet.hardware
        ],
        "finish": [{"item": one.title, "lines": line_documents(one)} for one in sheet.finish],
        "consumables": [
            {"item": one.title, "left_over": str(one.left_over), "unit": one.unit, "lines": line_documents(one)}
            for one in sheet.consumables
        ],
    }


def _boards_document(order: Order, purchase: BoardPurchase) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "item": purchase.title,
        "amount": str(purchase.amount),
        "lower_bound": str(purchase.bound),
        "cheapest_possible": purchase.proved,
        "left_out_of_the_plan": list(purchase.limits),
        f"run_bought_{shown.run}": round(shown.run_of(purchase.bought_length_ft), 4),
        "board_feet_bought": round(float(purchase.bought_board_feet), 4),
        "volume_bought_m3": round(float(purchase.bought_volume_ft3 * M3_PER_FT3), 6),
        "lines": line_documents(purchase),
        "layouts": [
            {
                "boards": layout.boards,
                f"board_length_{shown.length}": round(shown.length_of(layout.board_length_in), 4),
                f"left_over_{shown.length}": round(shown.length_of(layout.left_over_in), 4),
                "blanks": [
                    {
                        "build": blank.piece.build,
                        "part": blank.piece.part.name,
                        f"from_{shown.length}": round(shown.length_of(blank.start_in), 4),
                        f"to_{shown.length}": round(shown.length_of(blank.end_in), 4),
                        "strips": blank.piece.strips,
                    }
                    for blank in layout.blanks
                ],
            }
            for layout in purchase.layouts
        ],
    }


def _volume_document(purchase: VolumePurchase) -> dict[str, object]:
    return {
        "item": purchase.title,
        "amount": str(purchase.amount),
        "rough_measure": round(float(purchase.rough_measure), 6),
        "per": purchase.row.per,
        "yield_percent": round(float(purchase.yield_percent), 4),
        "yield_from": purchase.yield_source,
        "lines": line_documents(purchase),
    }
