"""`estimator buy`: what to buy, at what price, and how to cut the boards."""

from fractions import Fraction
from pathlib import Path

from estimator.buying.boards import BoardPurchase
from estimator.buying.layouts import Blank, CutLayout, CutStrip, is_usable
from estimator.buying.volume import VolumePurchase
from estimator.buying.ways_to_lie import Lean
from estimator.cli.board_bar import Letters, board_bars
from estimator.cli.purchases import PURCHASE_HEADINGS, line_documents, purchase_rows
from estimator.cli.terminal import (
    load_order,
    print_heading,
    print_json,
    print_notices,
    print_paragraph,
    print_table,
)
from estimator.cutting_words import MARKS_TEXT, NESTED_TEXT, board_text, has_nests, left_over_text, strip_words
from estimator.estimate import Estimate, estimate
from estimator.measures import M3_PER_FT3, Measures, measures
from estimator.reading.order import Order
from estimator.wording import allowance_text, left_over_rows, plan_text


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
        nested = any(has_nests(purchase.layouts) for purchase in sheet.boards)
        print_paragraph(f"{MARKS_TEXT} {NESTED_TEXT}" if nested else MARKS_TEXT)
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
    longest_in = max(layout.board_length_in for layout in purchase.layouts)
    letters: Letters = {}
    for layout in purchase.layouts:
        _print_layout(order, layout, longest_in, letters)


def _print_layout(order: Order, layout: CutLayout, longest_in: Fraction, letters: Letters) -> None:
    unit = order.shop.unit
    over = left_over_text(layout, unit, keep=is_usable(layout, order.shop.saw))
    print(f"\n{board_text(layout, unit)}, {over}:")
    for bar in board_bars(layout, longest_in, letters):
        print(f"  {bar}")
    for words in strip_words(layout, unit):
        if words.title:
            print(f"  rip first: {words.title}, each cut into")
        rows = [[f"{run.count:4}", run.what, run.marks] for run in words.runs]
        print_table(["", "cut", "marks from the squared end"], rows, left=2)


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
        "saved_by_nesting": str(purchase.saved_by_nesting),
        "spare_boards": purchase.spares.boards if purchase.spares else 0,
        "layouts": [_layout_document(layout, shown) for layout in purchase.layouts],
    }


def _layout_document(layout: CutLayout, shown: Measures) -> dict[str, object]:
    return {
        "boards": layout.boards,
        "on_hand": layout.offer.on_hand is not None,
        f"board_length_{shown.length}": round(shown.length_of(layout.board_length_in), 4),
        f"left_over_{shown.length}": round(shown.length_of(layout.left_over_in), 4),
        "rip_first": layout.rip_first,
        "strips": [_strip_document(strip, shown) for strip in layout.strips],
    }


def _strip_document(strip: CutStrip, shown: Measures) -> dict[str, object]:
    width = None if strip.width_in is None else round(shown.length_of(strip.width_in), 4)
    return {f"width_{shown.length}": width, "blanks": [_blank_document(blank, shown) for blank in strip.blanks]}


def _blank_document(blank: Blank, shown: Measures) -> dict[str, object]:
    return {
        f"from_{shown.length}": round(shown.length_of(blank.start_in), 4),
        f"to_{shown.length}": round(shown.length_of(blank.end_in), 4),
        "pieces": [
            {
                "build": one.piece.build,
                "part": one.piece.part.name,
                "turned": one.way.turn,
                "near_end": _lean_document(one.way.near),
                "far_end": _lean_document(one.way.far),
            }
            for one in blank.pieces
        ],
    }


def _lean_document(lean: Lean) -> dict[str, float]:
    return {"mitre_degrees": float(lean.mitre), "bevel_degrees": float(lean.bevel)}


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
