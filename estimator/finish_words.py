"""Sentences about finish that the terminal and the workbook both print, so that they say the same."""

from fractions import Fraction
from math import ceil, floor

from estimator.buying.can_offers import Cans
from estimator.buying.cans import AuxiliaryPurchase, CanChoice, FinishPurchase, mixture_of
from estimator.measures import measures
from estimator.reading.finish_products import FinishProduct
from estimator.reading.order import Order
from estimator.takeoff.auxiliaries import AuxiliaryUse, is_water
from estimator.takeoff.drying import Waiting, least_waiting
from estimator.takeoff.finish import Coat
from estimator.units import amount_text, decimal_text

COVERED_SIDE = {"low": "the low end", "middle": "the middle", "high": "the high end"}


def cans_text(purchase: FinishPurchase | AuxiliaryPurchase | Cans) -> str:
    """Return what to buy: `1 can of 5 gal and 2 cans of 1 qt`; with their names where not all cans hold the same."""
    names = {line.item for line in purchase.lines}
    texts = [
        f"{line.quantity} {line.unit if line.quantity == 1 else _plural(line.unit)}"
        f"{f' ({line.item})' if len(names) > 1 else ''}"
        for line in purchase.lines
    ]
    return " and ".join(filter(None, [", ".join(texts[:-1]), texts[-1]]))


def _plural(unit: str) -> str:
    """Write `cans of 1 qt` for `can of 1 qt`."""
    noun, of, content = unit.partition(" of ")
    return f"{noun}s{of}{content}"


def amount_range(low: float, high: float) -> str:
    """Write a range of amounts: `3.1 to 4.4`, or one figure where both read the same; small ones with more digits."""
    digits = 1 if high >= 1 else 2
    ends = f"{low:.{digits}f}", f"{high:.{digits}f}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def liquid_text(order: Order, amount_gal: float) -> str:
    """Write an amount of liquid in the shop's unit: `0.39 gal`."""
    shown = measures(order.shop.unit)
    return f"{amount_text(shown.liquid_of(amount_gal), 2)} {shown.liquid}"


def finish_sums(order: Order, purchase: FinishPurchase) -> str:
    """Say what the cans hold, which side of the range they cover, and what is left over."""
    shown, need = measures(order.shop.unit), purchase.need
    low, high = shown.liquid_of(need.need_at_high_rate_gal), shown.liquid_of(need.need_at_low_rate_gal)
    hold = "make" if mixture_of(need) else "hold"
    return (
        f"Together {amount_text(low, 2)} to {amount_text(high, 2)} {shown.liquid}. The cans {hold} "
        f"{shown.liquid_of(purchase.content_gal):.2f} {shown.liquid} and cover {COVERED_SIDE[need.cover]} of the "
        f"spreading rate ({liquid_text(order, need.need_gal)}, shop setting), with "
        f"{liquid_text(order, purchase.left_over_gal)} left over."
    )


def mixture_text(order: Order, purchase: FinishPurchase) -> str:
    """Say how much base and how much hardener the mixture takes and what is left of each; nothing for one part."""
    mixture = mixture_of(purchase.need)
    if mixture is None:
        return ""
    base, hardener = purchase.components
    return (
        f"Mix {mixture.text} by volume, only what you use at once: {liquid_text(order, base.need_gal)} of "
        f"{base.product} with {liquid_text(order, hardener.need_gal)} of {hardener.product} fill the rate. Left over: "
        f"{liquid_text(order, base.left_over_gal)} and {liquid_text(order, hardener.left_over_gal)}."
    )


def loss_text(coat: Coat) -> str:
    """Say what a coat's method loses and where that comes from: `Loss 10 % by brush: shop setting`."""
    return f"Loss {coat.loss_percent} % by {coat.step.method}: {coat.loss_source}"


def end_grain_text(order: Order) -> str:
    """Say how often the area of ends counts; nothing where end grain is taken to be no thirstier than a face."""
    times = order.shop.finish.end_grain_factor
    return "" if times == 1 else f"The areas count end grain {times} times, for it drinks more (shop setting)."


def dry_times_text(label: FinishProduct | None) -> str:
    """Say when a coat is dry and when the next may go on: `touch dry 1 to 2 h, next coat after 6 h and within 24 h`.

    Full cure and the source stand behind it; nothing where the label says nothing.
    """
    if label is None:
        return ""
    times = label.dry_times
    recoat = " and ".join(
        f"{word} {time.text}" for word, time in (("after", times.recoat_after), ("within", times.recoat_within)) if time
    )
    said = [
        f"touch dry {times.touch_dry.text}" if times.touch_dry else "",
        f"next coat {recoat}" if recoat else "",
        f"full cure {times.full_cure.text}" if times.full_cure else "",
    ]
    text = ", ".join(filter(None, said))
    return f"{text} ({label.source})" if text else ""


def waiting_texts(order: Order) -> list[str]:
    """Say for each build the least waiting between its first coat and its last, and what that is worth."""
    texts = [
        f"{one.build}: at least {hours_text(one.hours)} of waiting between the first coat and the last{_untold(one)}."
        for one in least_waiting(order)
    ]
    promise = "A help for the schedule, no promise: cold and damp lengthen it. Follow the label."
    return [*texts, promise] if texts else []


def _untold(waiting: Waiting) -> str:
    """Say what is not counted in the waiting, if anything is not."""
    names = ", ".join(waiting.untold)
    return f" (what no label says is not counted: {names})" if names else ""


def hours_text(hours: Fraction) -> str:
    """Write a time in the unit one speaks of it in: `40 min`, `6 h`, `3 d`."""
    if hours < 1:
        return f"{decimal_text(hours * 60, 0)} min"
    return f"{decimal_text(hours / 24, 0)} d" if hours >= 48 and hours % 24 == 0 else f"{decimal_text(hours, 1)} h"


def auxiliary_text(order: Order, use: AuxiliaryUse) -> str:
    """Say how much thinner or cleaner goes with a product: `Thinner: Brook spirit, 10 % of the product, 0.46 gal.`"""
    one = use.auxiliary
    amount = f", {one.percent} % of the product, {liquid_text(order, use.need_gal)}" if one.percent else ", as needed"
    source = "from the tap" if is_water(one.product) else f"{use.label.source}"
    return f"{one.role.capitalize()}: {one.product}{amount} ({source})."


def auxiliary_answer(order: Order, purchase: AuxiliaryPurchase) -> str:
    """Say what to buy of a thinner or cleaner and what for."""
    roles = " and ".join(dict.fromkeys(use.auxiliary.role for use in purchase.need.uses))
    return (
        f"Buy {cans_text(purchase)}: {purchase.title}, {order.shop.currency.text(purchase.amount)}, as {roles} "
        f"({liquid_text(order, purchase.need.need_gal)})."
    )


def decision_sentences(order: Order, purchase: FinishPurchase, choice: CanChoice) -> list[str]:
    """Say whether the cans are enough and how surely, what is left over is good for, and what else to think of."""
    sentences = [_enough_sentence(order, purchase, choice)]
    if choice.more_units:
        sentences.append(f"What is left over would do for {choice.more_units} more of {order.items[0].build.name}.")
    if choice.cheaper:
        sentences.append(_cheaper_sentence(order, purchase, choice.cheaper, choice.cheaper_chance))
    if _most_cans_of_one_thing(purchase) > 1:
        unmixed = ", base and hardener each by itself," if mixture_of(purchase.need) else ""
        sentences.append(
            f"Box the cans (pour them together){unmixed} before you start, so that all of it is of one colour."
        )
    return sentences


def _enough_sentence(order: Order, purchase: FinishPurchase, choice: CanChoice) -> str:
    enough, spare = f"{_bare_cans(purchase)} {_is(purchase)} enough", choice.spare_share
    if spare is None:
        return f"{enough}."
    if choice.safe is None:
        return f"{enough}, with {f'{floor(spare * 100)} %' if spare >= 0.01 else 'nothing'} to spare."
    short = f"{'they fall' if _several(purchase) else 'it falls'} short by {ceil(-spare * 100)} %"
    more = order.shop.currency.text(choice.safe.amount - purchase.amount)
    return (
        f"{enough} only where the product goes far: at the low rate {short}; {_bare_cans(choice.safe)} "
        f"{'cost' if _several(choice.safe) else 'costs'} {more} more. {_chance_sentence(purchase, choice.chance)}"
    )


def _cheaper_sentence(order: Order, purchase: FinishPurchase, cheaper: Cans, chance: float) -> str:
    money = order.shop.currency.text
    return (
        f"{_bare_cans(cheaper)} for {money(cheaper.amount)} would save {money(purchase.amount - cheaper.amount)}, and "
        f"may be too little. {_chance_sentence(cheaper, chance)}"
    )


def _chance_sentence(cans: FinishPurchase | Cans, chance: float) -> str:
    """Say how likely it is that cans are enough, and what that assumes; never 0 or 100 %, for it is neither."""
    they = "they are" if _several(cans) else "it is"
    shown = min(99, max(1, round(chance * 100)))
    return f"The chance that {they} enough is {shown} %, if the need is evenly spread between both ends."


def _bare_cans(cans: FinishPurchase | Cans) -> str:
    """Return cans as one speaks of them: `1 qt` where it is a single one, else `2 cans of 1 qt`."""
    return cans.lines[0].unit.removeprefix("can of ") if _is_single_can(cans) else cans_text(cans)


def _is_single_can(cans: FinishPurchase | Cans) -> bool:
    return not _several(cans) and cans.lines[0].unit.startswith("can of ")


def _several(cans: FinishPurchase | Cans) -> bool:
    return sum(line.quantity for line in cans.lines) > 1


def _most_cans_of_one_thing(purchase: FinishPurchase) -> int:
    """Return how many cans of one product are bought, at most: base and hardener are never poured together."""
    names = {line.item for line in purchase.lines}
    return max(int(sum(line.quantity for line in purchase.lines if line.item == name)) for name in names)


def _is(cans: FinishPurchase | Cans) -> str:
    return "are" if _several(cans) else "is"
