"""`estimator buy`: what to buy, at what price, and how to cut the boards."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.buy import BuySheet
from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying, is_usable
from estimator.buying.offers import ON_HAND
from estimator.buying.saw_cuts import crosscut_leans, ends_come_later, shares_cut, stop_lengths
from estimator.buying.supplier_plan import AnotherSupplier
from estimator.buying.volume import VolumePurchase
from estimator.buying.ways_to_lie import Lean
from estimator.cli.board_bar import DRAWING_TEXT
from estimator.cli.cutting_list import layout_lines
from estimator.cli.purchases import line_documents, print_lines
from estimator.cli.terminal import (
    load_order,
    print_heading,
    print_json,
    print_notices,
    print_paragraph,
    print_table,
)
from estimator.cutting_words import MARKS_TEXT, NESTED_TEXT, has_nests, letters_of
from estimator.estimate import Estimate, estimate
from estimator.measures import M3_PER_FT3, Measures, measures
from estimator.reading.order import Order
from estimator.supplier_words import amounts_by_supplier, is_split, lines_by_supplier, supplier_sentences
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
    what = "material and delivery" if sheet.deliveries else "material"
    print_paragraph(f"{order.title}: {order.shop.currency.text(sheet.amount)} of {what}")
    for sentence in supplier_sentences(order, sheet):
        print_paragraph(sentence)
    if is_split(sheet):
        _print_by_supplier(order, sheet)
    else:
        _print_by_kind(order, sheet)
    if sheet.volumes:
        print()
    for volume in sheet.volumes:
        print_paragraph(f"{volume.title}: {allowance_text(volume)}")
    if sheet.boards:
        print_heading("How to cut the boards")
        nested = any(has_nests(purchase.layouts) for purchase in sheet.boards)
        print_paragraph(" ".join([MARKS_TEXT, *([NESTED_TEXT] if nested else []), DRAWING_TEXT]))
    for purchase in sheet.boards:
        _print_cutting(order, purchase)
    print_heading("Left over when the job is done")
    left_over = left_over_rows(order, sheet)
    if left_over:
        print_table(["What", "how much"], [list(row) for row in left_over])
    else:
        print("Nothing worth keeping.")


def _print_by_supplier(order: Order, sheet: BuySheet) -> None:
    for supplier, lines in lines_by_supplier(sheet).items():
        print_heading(supplier)
        amount = order.shop.currency.text(sum((line.amount for line in lines), Decimal(0)))
        print_lines(order, lines, ("It counts" if supplier == ON_HAND else "To pay", amount))


def _print_by_kind(order: Order, sheet: BuySheet) -> None:
    for heading, purchases in (
        ("Lumber", (*sheet.boards, *sheet.volumes)),
        ("Hardware", sheet.hardware),
        ("Finish", (*sheet.finish, *sheet.auxiliaries)),
        ("Consumables", sheet.consumables),
    ):
        if purchases:
            print_heading(heading)
            print_lines(order, [line for purchase in purchases for line in purchase.lines])
    paid = [(name, amount) for name, amount in amounts_by_supplier(sheet).items() if name != ON_HAND]
    if len(paid) > 1:
        print_heading("To pay")
        print_table(["Supplier", "amount"], [[name, order.shop.currency.text(amount)] for name, amount in paid])


def _print_cutting(order: Order, purchase: BoardPurchase) -> None:
    print()
    print_paragraph(f"{purchase.title}: {plan_text(order, purchase)}")
    longest_in = max(layout.board_length_in for layout in purchase.layouts)
    letters = letters_of(purchase.layouts)
    for layout in purchase.layouts:
        print("", *layout_lines(layout, longest_in, order, letters), sep="\n")


def buy_document(result: Estimate) -> dict[str, object]:
    """Return the buy sheet with the cutting list as one document."""
    order, sheet = result.order, result.buy_sheet
    return {
        "order": order.title,
        "currency": order.shop.currency.code,
        "amount": str(sheet.amount),
        "suppliers": _suppliers_document(order, sheet),
        "boards": [_boards_document(order, purchase) for purchase in sheet.boards],
        "lumber_by_volume": [_volume_document(purchase) for purchase in sheet.volumes],
        "hardware": [
            {"item": one.title, "left_over": one.left_over, "spare": one.need.spares, "lines": line_documents(one)}
            for one in sheet.hardware
        ],
        "finish": [{"item": one.title, "lines": line_documents(one)} for one in (*sheet.finish, *sheet.auxiliaries)],
        "consumables": [
            {"item": one.title, "left_over": str(one.left_over), "unit": one.unit, "lines": line_documents(one)}
            for one in sheet.consumables
        ],
    }


def _suppliers_document(order: Order, sheet: BuySheet) -> dict[str, object]:
    """Return what is paid to each supplier, and where they were chosen, how good the choice is."""
    plan = sheet.supplier_plan
    document: dict[str, object] = {
        "to_pay": {name: str(amount) for name, amount in amounts_by_supplier(sheet).items()},
        "delivery": [{"item": one.title, "lines": line_documents(one)} for one in sheet.deliveries],
    }
    if plan is None:
        return document
    fewer, more, best = plan.fewer, plan.more, plan.without_rule
    return {
        **document,
        "choose": plan.rule,
        "visit": list(plan.names),
        "delivery_amount": str(sheet.delivery_amount),
        "cheapest_choice": plan.proved,
        "at_most_above_the_cheapest": str(plan.gap),
        "rounding_aside": plan.is_rounded,
        "one_fewer": None if fewer is None else {"visit": list(fewer.names), "costs_more": str(fewer.costs_more)},
        "one_more": None if more is None else _more_document(more),
        "without_the_rule": None if best is None else {"visit": list(best.names), "costs_less": str(best.costs_less)},
        "sentences": supplier_sentences(order, sheet),
    }


def _more_document(more: AnotherSupplier) -> dict[str, object]:
    return {"visit_as_well": more.name, "costs_more": str(more.costs_more), "at_most": not more.proved}


def _boards_document(order: Order, purchase: BoardPurchase) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "item": purchase.title,
        "amount": str(purchase.amount),
        "lower_bound": str(purchase.bound),
        "cheapest_possible": purchase.proved,
        "cheapest_possible_from": list(purchase.kept_to.names) or None if purchase.kept_to else None,
        "why_from_these": purchase.kept_to.reason if purchase.kept_to else "",
        "left_out_of_the_plan": list(purchase.limits),
        f"run_bought_{shown.run}": round(shown.run_of(purchase.bought_length_ft), 4),
        "board_feet_bought": round(float(purchase.bought_board_feet), 4),
        "volume_bought_m3": round(float(purchase.bought_volume_ft3 * M3_PER_FT3), 6),
        "lines": line_documents(purchase),
        "saved_by_nesting": str(purchase.saved_by_nesting),
        "spare_boards": purchase.spares.boards if purchase.spares else 0,
        "spare_boards_amount": str(purchase.spares.amount if purchase.spares else 0),
        "boards_left_whole": sum(one.boards for one in purchase.surplus),
        "used_for_parts_percent": round(float(purchase.used_share_of_face) * 100, 2),
        "matching_parts": [
            {
                "build": one.matching.build,
                "word": one.matching.word,
                "units": one.matching.units,
                "units_from_one_board": one.units,
            }
            for one in purchase.matched
        ],
        "layouts": [_layout_document(layout, order) for layout in purchase.layouts],
    }


def _layout_document(layout: CutLayout, order: Order) -> dict[str, object]:
    shown, saw = measures(order.shop.unit), order.shop.saw
    on_hand = layout.offer.on_hand
    return {
        "boards": layout.boards,
        "on_hand": on_hand is not None,
        "place": on_hand.place if on_hand else "",
        f"board_length_{shown.length}": _length(layout.board_length_in, shown),
        f"left_over_{shown.length}": _length(layout.left_over_in, shown),
        "keep_left_over": is_usable(layout, saw),
        "rip_first": layout.rip_first,
        "strips": [_strip_document(strip, shown, saw.kerf_in) for strip in layout.strips],
        "stop_block": [
            {f"length_{shown.length}": _length(length_in, shown), "blanks": count}
            for length_in, count in stop_lengths(layout)
        ],
    }


def _strip_document(strip: CutStrip, shown: Measures, kerf_in: Fraction) -> dict[str, object]:
    """Return a strip; only a cut between two blanks can serve both."""
    shared = [shares_cut(one, other, strip, kerf_in) for one, other in pairwise(strip.blanks)]
    return {
        f"width_{shown.length}": None if strip.width_in is None else _length(strip.width_in, shown),
        "blanks": [
            _blank_document(blank, strip, shown, one_cut_with_next=one_cut)
            for blank, one_cut in zip(strip.blanks, [*shared, False], strict=True)
        ],
    }


def _blank_document(blank: Blank, strip: CutStrip, shown: Measures, *, one_cut_with_next: bool) -> dict[str, object]:
    near, far = crosscut_leans(blank, strip)
    return {
        f"from_{shown.length}": _length(blank.start_in, shown),
        f"to_{shown.length}": _length(blank.end_in, shown),
        "near_cut": _lean_document(near),
        "far_cut": _lean_document(far),
        "one_cut_with_next": one_cut_with_next,
        "pieces": [_piece_document(lying, strip, shown) for lying in blank.pieces],
    }


def _piece_document(lying: Lying, strip: CutStrip, shown: Measures) -> dict[str, object]:
    return {
        "build": lying.piece.build,
        "part": lying.piece.part.name,
        f"length_{shown.length}": _length(lying.piece.part.shape.length_in, shown),
        f"rip_to_{shown.length}": _length(lying.piece.blank_width_in, shown),
        "turned": lying.way.turn,
        "near_end": _lean_document(lying.way.near),
        "far_end": _lean_document(lying.way.far),
        "ends_cut_later": ends_come_later(lying, strip),
    }


def _length(length_in: Fraction, shown: Measures) -> float:
    return round(shown.length_of(length_in), 4)


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
