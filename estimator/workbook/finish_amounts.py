"""Finish, below the coats of a product: what the cans hold of the need, how it is mixed, and what goes with it."""

from estimator.buying.cans import AuxiliaryPurchase, FinishPurchase, choice_of_cans, mixture_of
from estimator.finish_words import cans_text, decision_sentences, dry_times_text, finish_sums, mixture_text
from estimator.reading.fields import name_key
from estimator.takeoff.auxiliaries import auxiliary_uses
from estimator.takeoff.finish import FinishNeed
from estimator.workbook.cells import Number, Sheet
from estimator.workbook.leaf import Setting
from estimator.workbook.places import Place
from estimator.workbook.styles import NOTE, PERCENT, SECTION, TEXT, WRAPPED, Style, as_input, as_total, decimals
from estimator.workbook.table import PlacedTable

AMOUNT = decimals(3)
PARTS = decimals(2)
PARAGRAPH_COLUMNS = 14
VALUE_COLUMN = 4
NeedsAt = dict[str, list[Place]]  # where each need for a thinner or cleaner stands, by its key


def put_amount(sheet: Sheet, row: int, label: str, value: Number, style: Style, formula: str = "") -> Place:
    """Write an amount with its label before it, live where it has a formula."""
    sheet.put_text_across(row, 1, VALUE_COLUMN - 1, label, WRAPPED)
    if formula:
        return sheet.put_formula(row, VALUE_COLUMN, formula, value, style)
    return sheet.put_number(row, VALUE_COLUMN, value, style)


def _put_left_over(sheet: Sheet, row: int, label: str, value: float, formula: str) -> None:
    sheet.put_text_across(row, 1, VALUE_COLUMN - 1, label, as_total(TEXT))
    sheet.put_formula(row, VALUE_COLUMN, formula, value, as_total(AMOUNT))


def write_cans(
    sheet: Sheet, setting: Setting, purchase: FinishPurchase, table: PlacedTable, row: int, needs_at: NeedsAt
) -> int:
    """Write the need, what is in the cans and what is left, then what goes with the product; return the next row."""
    shown, order = setting.shown, setting.estimate.order
    most, least = table.total("most").ref, table.total("least").ref
    covered = {"low": f"={most}", "middle": f"=({most}+{least})/2", "high": f"={least}"}[purchase.need.cover]
    need = put_amount(
        sheet, row, f"Need to cover, {shown.liquid}", shown.liquid_of(purchase.need.need_gal), AMOUNT, covered
    )
    mixed = " of mixture" if mixture_of(purchase.need) else ""
    planned = f"In the cans as planned ({cans_text(purchase)}), {shown.liquid}{mixed}"
    content = put_amount(sheet, row + 1, planned, shown.liquid_of(purchase.content_gal), AMOUNT)
    left = shown.liquid_of(purchase.left_over_gal)
    _put_left_over(sheet, row + 2, f"Left over, {shown.liquid}{mixed}", left, f"={content.ref}-{need.ref}")
    row = _write_mixture(sheet, setting, purchase, need, row + 3)
    row = _write_uses(sheet, setting, purchase.need, need, row, needs_at)
    dry_times = dry_times_text(purchase.need.label)
    said = (
        f"Dry times: {dry_times}." if dry_times else "",
        "As planned:",
        finish_sums(order, purchase),
        mixture_text(order, purchase),
        *decision_sentences(order, purchase, choice_of_cans(purchase, order)),
    )
    for sentence in filter(None, said):
        sheet.put_text_across(row, 1, PARAGRAPH_COLUMNS, sentence, NOTE)
        row += 1
    return row + 1


def _write_mixture(sheet: Sheet, setting: Setting, purchase: FinishPurchase, need: Place, row: int) -> int:
    """Write how a two-part need is split by the ratio, and return the next row."""
    shown, mixture = setting.shown, mixture_of(purchase.need)
    if mixture is None:
        return row
    parts = [
        put_amount(sheet, row + place, f"Parts of {one.product} in the mixture, by volume", count, as_input(PARTS)).ref
        for place, (one, count) in enumerate(
            zip(purchase.components, (mixture.base_parts, mixture.hardener_parts), strict=True)
        )
    ]
    row += len(parts)
    for one, part in zip(purchase.components, parts, strict=True):
        needed = put_amount(
            sheet,
            row,
            f"{one.product}, {shown.liquid}",
            shown.liquid_of(one.need_gal),
            AMOUNT,
            f"={need.ref}*{part}/({'+'.join(parts)})",
        )
        content = shown.liquid_of(one.content_gal)
        held = put_amount(sheet, row + 1, f"{one.product} in the cans as planned, {shown.liquid}", content, AMOUNT)
        left = shown.liquid_of(one.left_over_gal)
        _put_left_over(sheet, row + 2, f"{one.product} left over, {shown.liquid}", left, f"={held.ref}-{needed.ref}")
        row += 3
    return row


def _write_uses(sheet: Sheet, setting: Setting, need: FinishNeed, need_at: Place, row: int, needs_at: NeedsAt) -> int:
    """Write thinner and cleaner as shares of the need, note where they stand, and return the next row."""
    shown = setting.shown
    for use in auxiliary_uses(need):
        one = use.auxiliary
        title = f"{one.role.capitalize()}: {one.product}"
        share = put_amount(sheet, row, f"{title}, share of the product", one.percent / 100, as_input(PERCENT))
        amount = put_amount(
            sheet,
            row + 1,
            f"{title}, {shown.liquid}",
            shown.liquid_of(use.need_gal),
            AMOUNT,
            f"={need_at.ref}*{share.ref}",
        )
        needs_at.setdefault(name_key(one.product), []).append(amount)
        row += 2
    return row


def write_auxiliary(sheet: Sheet, setting: Setting, purchase: AuxiliaryPurchase, uses: list[Place], row: int) -> int:
    """Write what is needed of a thinner or cleaner for all products, what is in the cans and what is left."""
    shown = setting.shown
    sheet.put_text(row, 1, purchase.title, SECTION)
    together = f"={'+'.join(place.ref for place in uses)}"
    need = put_amount(
        sheet,
        row + 1,
        f"Need for all products, {shown.liquid}",
        shown.liquid_of(purchase.need.need_gal),
        AMOUNT,
        together,
    )
    planned = f"In the cans as planned ({cans_text(purchase)}), {shown.liquid}"
    content = put_amount(sheet, row + 2, planned, shown.liquid_of(purchase.content_gal), AMOUNT)
    left = shown.liquid_of(purchase.left_over_gal)
    _put_left_over(sheet, row + 3, f"Left over, {shown.liquid}", left, f"={content.ref}-{need.ref}")
    return row + 5
