"""`estimator finish`: how much stain or oil to buy, in the first line, and the sums behind it."""

import re
from pathlib import Path

from estimator.buying.buy import buy, notice_if_stale
from estimator.buying.cans import AuxiliaryPurchase, FinishPurchase, buy_auxiliary, buy_finish, choice_of_cans
from estimator.cli.finish_document import finishes_document
from estimator.cli.sanding_lines import print_sanding, sanding_document
from estimator.cli.terminal import (
    NO_BREAK,
    counted,
    load_order,
    print_heading,
    print_json,
    print_notices,
    print_paragraph,
    print_table,
)
from estimator.errors import Findings
from estimator.finish_words import (
    amount_range,
    auxiliary_answer,
    auxiliary_text,
    cans_text,
    decision_sentences,
    dry_times_text,
    end_grain_text,
    finish_sums,
    loss_text,
    mixture_text,
    waiting_texts,
)
from estimator.measures import measures
from estimator.reading.order import Order
from estimator.takeoff.areas import covered_words
from estimator.takeoff.auxiliaries import auxiliary_needs, auxiliary_uses
from estimator.takeoff.cautions import finish_cautions
from estimator.takeoff.finish import Coat, coats_by_step
from estimator.takeoff.take_off import TakeOff, take_off
from estimator.units import amount_text


def finish_command(path: Path, quantity: int | None, *, as_json: bool) -> None:
    """Print what to buy of each finish."""
    order = load_order(path, quantity)
    findings = Findings(notices=list(order.notices))
    takeoff = take_off(order, findings)
    purchases, auxiliaries = _bought(order, takeoff, findings)
    findings.raise_faults()
    if as_json:
        document = finishes_document(order, purchases, auxiliaries)
        print_json({**document, "sanding": sanding_document(takeoff.order.sanded)}, findings.notices)
    else:
        _print(order, purchases, auxiliaries)
        print_sanding(order, takeoff)
        _print_cautions(order)
    print_notices(findings.notices)


def _bought(
    order: Order, takeoff: TakeOff, findings: Findings
) -> tuple[tuple[FinishPurchase, ...], tuple[AuxiliaryPurchase, ...]]:
    """Return the cans of finish and of what goes with it; from the suppliers of the whole order where those count."""
    sheet = buy(order, takeoff, Findings()) if order.is_choosing_suppliers else None
    if sheet and sheet.supplier_plan:
        _notice_stale(order, sheet.finish, findings)
        _notice_stale(order, sheet.auxiliaries, findings)
        return sheet.finish, sheet.auxiliaries
    return buy_finishes(order, takeoff, findings), buy_auxiliaries(order, takeoff, findings)


def buy_finishes(order: Order, takeoff: TakeOff, findings: Findings) -> tuple[FinishPurchase, ...]:
    """Return the cans for each product of an order; missing prices are noted as faults, old ones as notices."""
    found = [buy_finish(need, order, findings) for need in takeoff.order.finish]
    bought = tuple(one for one in found if one is not None)
    _notice_stale(order, bought, findings)
    return bought


def buy_auxiliaries(order: Order, takeoff: TakeOff, findings: Findings) -> tuple[AuxiliaryPurchase, ...]:
    """Return the cans of thinner and cleaner for an order, with notices as above."""
    found = [buy_auxiliary(need, order, findings) for need in auxiliary_needs(takeoff.order.finish)]
    bought = tuple(one for one in found if one is not None)
    _notice_stale(order, bought, findings)
    return bought


def _notice_stale(
    order: Order, purchases: tuple[FinishPurchase, ...] | tuple[AuxiliaryPurchase, ...], findings: Findings
) -> None:
    for line in (line for purchase in purchases for line in purchase.lines):
        notice_if_stale(line.row.origin, line.row.day, order, findings, item=line.item)


def _print(order: Order, purchases: tuple[FinishPurchase, ...], auxiliaries: tuple[AuxiliaryPurchase, ...]) -> None:
    if not purchases:
        print("No finish is listed for this order: there is nothing to buy.")
        return
    for purchase in purchases:
        for sentence in (
            *answer(order, purchase),
            *decision_sentences(order, purchase, choice_of_cans(purchase, order)),
        ):
            print_paragraph(sentence)
    for auxiliary in auxiliaries:
        print_paragraph(auxiliary_answer(order, auxiliary))
    for purchase in purchases:
        _print_product(order, purchase)
    waiting = waiting_texts(order)
    if waiting:
        print_heading("Waiting between coats")
        for sentence in waiting:
            print_paragraph(sentence)


def _print_cautions(order: Order) -> None:
    """Print what can hurt who finishes, last of all."""
    cautions = finish_cautions(order)
    if cautions:
        print()
    for caution in cautions:
        print_paragraph(f"Caution: {caution.text}")


def answer(order: Order, purchase: FinishPurchase) -> tuple[str, str]:
    """Return the answer in a sentence, `Buy 1 can of 5 gal: Millrace oil stain, $345.00.`, and why in another."""
    shown, need = measures(order.shop.unit), purchase.need
    used = amount_range(shown.liquid_of(need.need_at_high_rate_gal), shown.liquid_of(need.need_at_low_rate_gal))
    return (
        f"Buy {cans_text(purchase)}: {purchase.title}, {order.shop.currency.text(purchase.amount)}.",
        f"The job takes {used} {shown.liquid}, by how far the product goes on this wood.",
    )


def _print_product(order: Order, purchase: FinishPurchase) -> None:
    """Print the coats of one product, its dry times, what goes with it, and the sums."""
    shown, need = measures(order.shop.unit), purchase.need
    steps = coats_by_step(need)
    words = _words_in_rows(order, steps)
    print_heading(purchase.title)
    print_table(
        ["Build and coat", shown.area, f"rate, {shown.rate}", "loss", f"need, {shown.liquid}"],
        [_coat_row(order, coat, covers) for coats, covers in zip(steps, words, strict=True) for coat in coats],
    )
    dry_times = dry_times_text(need.label)
    for sentence in (
        *_words_below(order, steps, words),
        f"Dry times: {_unbroken(dry_times)}." if dry_times else "",
        mixture_text(order, purchase),
        *(auxiliary_text(order, use) for use in auxiliary_uses(need)),
        f"{finish_sums(order, purchase)} Need = area / (rate x (1 - loss)). {end_grain_text(order)}",
        *sources(order, purchase),
    ):
        print_paragraph(sentence)


def _unbroken(text: str) -> str:
    """Return a text whose numbers stay on one line with the word behind them: `7 d`."""
    return re.sub(r"(?<=\d) (?=[a-z])", NO_BREAK, text)


def _words_in_rows(order: Order, steps: tuple[tuple[Coat, ...], ...]) -> list[str]:
    """Return what each step covers, for its rows in the table, where a build has several steps of one product."""
    builds = [coats[0].build for coats in steps]
    return [_covers(order, coats[0]) if builds.count(coats[0].build) > 1 else "" for coats in steps]


def _words_below(order: Order, steps: tuple[tuple[Coat, ...], ...], in_rows: list[str]) -> list[str]:
    """Return what each step covers that does not say so in its rows."""
    return [
        f"{coats[0].build}, {counted(len(coats), 'coat')}: {_covers(order, coats[0])}."
        for coats, words in zip(steps, in_rows, strict=True)
        if not words
    ]


def _covers(order: Order, coat: Coat) -> str:
    build = next(item.build for item in order.items if item.build.name == coat.build)
    return covered_words(coat.step, build)


def sources(order: Order, purchase: FinishPurchase) -> list[str]:
    """Return where each rate and each loss comes from, each said once."""
    rates = [
        f"Rate {_rate_text(order, coat)}: {coat.rate_source} ({coat.rate_origin})." for coat in purchase.need.coats
    ]
    losses = [f"{loss_text(coat)}." for coat in purchase.need.coats]
    return list(dict.fromkeys((*rates, *losses)))


def _rate_text(order: Order, coat: Coat) -> str:
    shown, digits = measures(order.shop.unit), 0 if order.shop.unit == "in" else 1
    ends = [f"{shown.rate_of(end):.{digits}f}" for end in (coat.spread.low_ft2_per_gal, coat.spread.high_ft2_per_gal)]
    return " to ".join(dict.fromkeys(ends))


def _coat_row(order: Order, coat: Coat, covers: str) -> list[str]:
    shown = measures(order.shop.unit)
    needs = shown.liquid_of(coat.need_at_high_rate_gal), shown.liquid_of(coat.need_at_low_rate_gal)
    return [
        f"{coat.build}, coat {coat.number} by {coat.step.method}, {coat.step.texture}{f': {covers}' if covers else ''}",
        f"{shown.area_of(coat.counted_ft2):.1f}",
        _rate_text(order, coat),
        f"{coat.loss_percent} %",
        " to ".join(dict.fromkeys(amount_text(need, 2) for need in needs)),
    ]
