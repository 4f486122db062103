"""The finish of an order as one document: what to buy of each product, and all that goes with it."""

from estimator.buying.can_offers import Cans
from estimator.buying.cans import AuxiliaryPurchase, CanChoice, FinishPurchase, choice_of_cans, mixture_of
from estimator.cli.purchases import line_documents
from estimator.cli.takeoff import finish_need_document
from estimator.finish_words import cans_text, decision_sentences, dry_times_text
from estimator.measures import measures
from estimator.reading.finish_products import Duration
from estimator.reading.order import Order
from estimator.takeoff.auxiliaries import AuxiliaryUse, auxiliary_uses
from estimator.takeoff.cautions import finish_cautions
from estimator.takeoff.drying import least_waiting
from estimator.takeoff.finish import FinishNeed


def finishes_document(
    order: Order, purchases: tuple[FinishPurchase, ...], auxiliaries: tuple[AuxiliaryPurchase, ...]
) -> dict[str, object]:
    """Return the whole answer: the products, their thinners and cleaners, the waiting and the cautions."""
    return {
        "order": order.title,
        "finishes": [finish_document(order, one) for one in purchases],
        "auxiliaries": [_auxiliary_document(order, one) for one in auxiliaries],
        "least_waiting": [
            {
                "build": one.build,
                "minutes": round(one.hours * 60),
                "not_counted": list(one.untold),
            }
            for one in least_waiting(order)
        ],
        "cautions": [
            {"topic": caution.topic, "text": caution.text, "source": caution.source}
            for caution in finish_cautions(order)
        ],
    }


def finish_document(order: Order, purchase: FinishPurchase) -> dict[str, object]:
    """Return what to buy of one product, with the need behind it and how sure the cans are to be enough."""
    shown = measures(order.shop.unit)
    return {
        **finish_need_document(order, purchase.need),
        **_label_document(purchase.need),
        "covers": f"{purchase.need.cover} end of the spreading rate",
        f"content_{shown.liquid}": round(shown.liquid_of(purchase.content_gal), 4),
        f"left_over_{shown.liquid}": round(shown.liquid_of(purchase.left_over_gal), 4),
        "components": _component_documents(order, purchase),
        "goes_with": [_use_document(order, use) for use in auxiliary_uses(purchase.need)],
        "currency": order.shop.currency.code,
        "amount": str(purchase.amount),
        "cans": line_documents(purchase),
        "choice": _choice_document(order, purchase, choice_of_cans(purchase, order)),
    }


def _label_document(need: FinishNeed) -> dict[str, object]:
    """Return what the label says of a product; times in whole minutes, from the shortest to the longest."""
    label, mixture = need.label, mixture_of(need)
    times = label.dry_times if label else None
    return {
        "kinds": list(label.kinds) if label else [],
        "mix_ratio": mixture.text if mixture else None,
        "dry_times": dry_times_text(label),
        "touch_dry_minutes": _minutes(times.touch_dry if times else None),
        "recoat_after_minutes": _minutes(times.recoat_after if times else None),
        "recoat_within_minutes": _minutes(times.recoat_within if times else None),
        "full_cure_minutes": _minutes(times.full_cure if times else None),
    }


def _minutes(time: Duration | None) -> list[int] | None:
    return [round(time.low_hours * 60), round(time.high_hours * 60)] if time else None


def _component_documents(order: Order, purchase: FinishPurchase) -> list[dict[str, object]]:
    """Return base and hardener of a two-part product, or the one product that is in the cans."""
    shown = measures(order.shop.unit)
    return [
        {
            "product": one.product,
            f"need_{shown.liquid}": round(shown.liquid_of(one.need_gal), 4),
            f"content_{shown.liquid}": round(shown.liquid_of(one.content_gal), 4),
            f"left_over_{shown.liquid}": round(shown.liquid_of(one.left_over_gal), 4),
        }
        for one in purchase.components
    ]


def _use_document(order: Order, use: AuxiliaryUse) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "role": use.auxiliary.role,
        "product": use.auxiliary.product,
        "percent": str(use.auxiliary.percent),
        f"need_{shown.liquid}": round(shown.liquid_of(use.need_gal), 4),
        "from": str(use.label.origin),
        "source": use.label.source,
    }


def _auxiliary_document(order: Order, purchase: AuxiliaryPurchase) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "product": purchase.title,
        f"need_{shown.liquid}": round(shown.liquid_of(purchase.need.need_gal), 4),
        f"content_{shown.liquid}": round(shown.liquid_of(purchase.content_gal), 4),
        f"left_over_{shown.liquid}": round(shown.liquid_of(purchase.left_over_gal), 4),
        "currency": order.shop.currency.code,
        "amount": str(purchase.amount),
        "cans": line_documents(purchase),
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
