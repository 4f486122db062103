"""`estimator finish`: how much stain or oil to buy, in the first line, and the sums behind it."""

from pathlib import Path

from estimator.buying.buy import notice_if_stale
from estimator.buying.cans import CanChoice, Cans, FinishPurchase, buy_finish, choice_of_cans
from estimator.cli.purchases import line_documents
from estimator.cli.takeoff import finish_need_document
from estimator.cli.terminal import load_order, print_heading, print_json, print_notices, print_paragraph, print_table
from estimator.errors import Findings
from estimator.measures import measures
from estimator.reading.order import Order
from estimator.standards.cautions import cautions_for
from estimator.takeoff.finish import Coat
from estimator.takeoff.take_off import TakeOff, take_off
from estimator.wording import amount_range, cans_text, decision_sentences, end_grain_text, finish_sums, loss_text


def finish_command(path: Path, quantity: int | None, *, as_json: bool) -> None:
    """Print what to buy of each finish."""
    order = load_order(path, quantity)
    findings = Findings(notices=list(order.notices))
    takeoff = take_off(order, findings)
    purchases = buy_finishes(order, takeoff, findings)
    findings.raise_faults()
    if as_json:
        document = {"order": order.title, "finishes": [finish_document(order, one) for one in purchases]}
        print_json(document, findings.notices)
    else:
        _print(order, purchases)
    print_notices(findings.notices)


def buy_finishes(order: Order, takeoff: TakeOff, findings: Findings) -> tuple[FinishPurchase, ...]:
    """Return the cans for each product of an order; missing prices are noted as faults, old ones as notices."""
    found = [buy_finish(need, order, findings) for need in takeoff.order.finish]
    bought = tuple(one for one in found if one is not None)
    for line in (line for purchase in bought for line in purchase.lines):
        notice_if_stale(line.row.origin, line.row.day, order, findings, item=line.item)
    return bought


def _print(order: Order, purchases: tuple[FinishPurchase, ...]) -> None:
    if not purchases:
        print("No finish is listed for this order: there is nothing to buy.")
        return
    shown = measures(order.shop.unit)
    for purchase in purchases:
        for sentence in (
            *answer(order, purchase),
            *decision_sentences(order, purchase, choice_of_cans(purchase, order)),
        ):
            print_paragraph(sentence)
    for purchase in purchases:
        print_heading(purchase.title)
        print_table(
            ["Build and coat", shown.area, f"rate, {shown.rate}", "loss", f"need, {shown.liquid}"],
            [_coat_row(order, coat) for coat in purchase.need.coats],
        )
        print_paragraph(f"{finish_sums(order, purchase)} Need = area / (rate x (1 - loss)). {end_grain_text(order)}")
        for sentence in sources(order, purchase):
            print_paragraph(sentence)
    print()
    for caution in cautions_for(topics=frozenset({"oily_rags", "solvent"})):
        print_paragraph(f"Caution: {caution.text}")


def answer(order: Order, purchase: FinishPurchase) -> tuple[str, str]:
    """Return the answer in a sentence, `Buy 1 can of 5 gal: Millrace oil stain, $345.00.`, and why in another."""
    shown, need = measures(order.shop.unit), purchase.need
    used = amount_range(shown.liquid_of(need.need_at_high_rate_gal), shown.liquid_of(need.need_at_low_rate_gal))
    return (
        f"Buy {cans_text(purchase)}: {purchase.title}, {order.shop.currency.text(purchase.amount)}.",
        f"The job takes {used} {shown.liquid}, by how far the product goes on this wood.",
    )


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


def _coat_row(order: Order, coat: Coat) -> list[str]:
    shown = measures(order.shop.unit)
    needs = shown.liquid_of(coat.need_at_high_rate_gal), shown.liquid_of(coat.need_at_low_rate_gal)
    return [
        f"{coat.build}, coat {coat.number} by {coat.step.method}, {coat.step.texture}",
        f"{shown.area_of(coat.counted_ft2):.1f}",
        _rate_text(order, coat),
        f"{coat.loss_percent} %",
        " to ".join(dict.fromkeys(f"{need:.2f}" for need in needs)),
    ]


def finish_document(order: Order, purchase: FinishPurchase) -> dict[str, object]:
    """Return what to buy of one product, with the need behind it and how sure the cans are to be enough."""
    shown = measures(order.shop.unit)
    return {
        **finish_need_document(order, purchase.need),
        "covers": f"{purchase.need.cover} end of the spreading rate",
        f"content_{shown.liquid}": round(shown.liquid_of(purchase.content_gal), 4),
        f"left_over_{shown.liquid}": round(shown.liquid_of(purchase.left_over_gal), 4),
        "currency": order.shop.currency.code,
        "amount": str(purchase.amount),
        "cans": line_documents(purchase),
        "choice": _choice_document(order, purchase, choice_of_cans(purchase, order)),
    }


def _choice_document(order: Order, purchase: FinishPurchase, choice: CanChoice) -> dict[str, object]:
    """Return how sure the cans are to be enough, and the cans to think of beside them."""
    spare = choice.spare_share
    return {
        "sentences": decision_sentences(order, purchase, choice),
        "spare_at_low_rate_percent": None if spare is None else round(spare * 100, 2),
        "chance_enough_percent": round(choice.chance * 100, 2),
        "more_units": choice.more_units,
        "safe": _cans_document(order, choice.safe),
        "cheaper": _cans_document(order, choice.cheaper),
        "cheaper_chance_enough_percent": round(choice.cheaper_chance * 100, 2),
    }


def _cans_document(order: Order, cans: Cans | None) -> dict[str, object] | None:
    if cans is None:
        return None
    shown = measures(order.shop.unit)
    return {
        "cans": cans_text(cans),
        f"content_{shown.liquid}": round(shown.liquid_of(cans.content_gal), 4),
        "amount": str(cans.amount),
    }
