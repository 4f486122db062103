"""The rules that the figures of the finish rest on, each with its source, for the sheet of notes."""

from estimator.finish_words import COVERED_SIDE
from estimator.reading.finish_steps import METHODS
from estimator.reading.shop import FinishSettings
from estimator.standards.coating import PublishedRange, published_range
from estimator.takeoff.auxiliaries import auxiliary_uses
from estimator.takeoff.drying import least_waiting
from estimator.takeoff.finish import Coat, FinishNeed
from estimator.workbook.leaf import Setting

SHOP_SETTING = "shop setting"  # what stands for a loss whose source the shop has not written down
UNSOURCED = "common practice, no source"
# What sources print of the loss by a method; none was found for pad, dip and wipe.
PUBLISHED_LOSS = {
    "brush": "loss_brush_roller",
    "roller": "loss_brush_roller",
    "spray": "loss_conventional_spray",
    "spray on slats": "te_small_parts_hvlp",
}


def finish_rules(setting: Setting) -> list[tuple[str, str]]:
    """Return each rule of the finish with where it comes from; nothing for bare wood."""
    needs = setting.estimate.takeoff.order.finish
    if not needs:
        return []
    settings = setting.estimate.order.shop.finish
    return [
        *_need_rules(settings),
        *_loss_rules([coat for need in needs for coat in need.coats]),
        *_mixture_rules(needs),
        *_auxiliary_rules(needs),
        *_drying_rules(setting),
    ]


def _need_rules(settings: FinishSettings) -> list[tuple[str, str]]:
    side, times = COVERED_SIDE[settings.cover], settings.end_grain_factor
    thirst = f"counts {times} times" if times != 1 else "counts like any other, though it drinks more"
    return [
        (
            f"Cans cover {side} of the spreading rate. Need = area / (rate x (1 - loss)).",
            "shop settings; practical coverage: Corrosionpedia",
        ),
        (
            f"End grain: the area of ends {thirst}.",
            f"shop settings; {UNSOURCED}: no published multiplier was found",
        ),
        ("A product's first coat on a surface takes its first-coat rate, whatever was on it before.", UNSOURCED),
        ("The chance that cans are enough takes the need as evenly spread between both ends of the rate.", UNSOURCED),
    ]


def _loss_rules(coats: list[Coat]) -> list[tuple[str, str]]:
    """Return the loss by each method in use with its source, and what is published of it beside that."""
    losses = {coat.step.method: coat for coat in coats}
    return [
        (f"By {method} {coat.loss_percent} % never reaches the wood.", _loss_source(method, coat))
        for method in METHODS
        if (coat := losses.get(method))
    ]


def _loss_source(method: str, coat: Coat) -> str:
    if coat.loss_source != SHOP_SETTING:
        return coat.loss_source
    if method not in PUBLISHED_LOSS:
        return f"{SHOP_SETTING}; {UNSOURCED}"
    return f"{SHOP_SETTING}; published: {_range_text(published_range(PUBLISHED_LOSS[method]))}"


def _range_text(one: PublishedRange) -> str:
    ends = " to ".join(dict.fromkeys(f"{end:g}" for end in (one.low, one.high)))
    share = "reaches small parts" if one.kind == "transfer_efficiency" else "is lost"
    return f"{ends} % {share} ({one.source})"


def _mixture_rules(needs: tuple[FinishNeed, ...]) -> list[tuple[str, str]]:
    mixed = [need.label for need in needs if need.label and need.label.mixture]
    rules = [
        (f"{label.product} is mixed {label.mixture.text} with {label.mixture.hardener}, by volume.", label.source)
        for label in mixed
        if label.mixture
    ]
    bought = (
        "Base and hardener together fill the rate. Bought are sets alone or cans apart alone, whichever costs less; a "
        "set counts for the mixture that its scarcer part allows."
    )
    return [*rules, (bought, UNSOURCED)] if rules else []


def _auxiliary_rules(needs: tuple[FinishNeed, ...]) -> list[tuple[str, str]]:
    uses = [use for need in needs for use in auxiliary_uses(need) if use.auxiliary.percent]
    rules = [
        (
            f"{use.auxiliary.role.capitalize()} for {use.label.product}: {use.auxiliary.percent} % of its volume.",
            use.label.source,
        )
        for use in uses
    ]
    assumed = "Thinner does not make a product go further, and is not counted as part of it."
    return [*rules, (assumed, UNSOURCED)] if any(use.auxiliary.role == "thinner" for use in uses) else rules


def _drying_rules(setting: Setting) -> list[tuple[str, str]]:
    if not least_waiting(setting.estimate.order):
        return []
    text = (
        "Least waiting = what the labels say between coats, summed over all coats but the last of the surface where it "
        "is longest. Cold and damp lengthen it."
    )
    return [(text, f"{UNSOURCED}; times: the products' labels")]
