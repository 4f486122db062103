"""The cautions that a job calls for: dust, rags, blades, solvents, screws that stain, load on a chair."""

from estimator.errors import Notice
from estimator.reading.fields import name_key
from estimator.reading.finish_products import FinishProduct, product_named
from estimator.reading.order import Order
from estimator.standards.cautions import Caution, cautions_for
from estimator.standards.fasteners import corrosion_note
from estimator.standards.wood import has_sensitising_dust, is_preservative_treated
from estimator.takeoff.auxiliaries import is_water

# One that is water-borne alone calls for neither of them.
TOPIC_OF_KIND = {"drying oil": "oily_rags", "solvent-borne": "solvent", "two-part": "two_part"}
SEATS = ("chair", "bench", "seat", "stool", "settle")


def job_cautions(order: Order) -> tuple[Caution, ...]:
    """Return the cautions for what an order contains."""
    builds = [item.build for item in order.items]
    parts = [part for build in builds for part in build.parts]
    topics = {"wood_dust", "noise"} | _finish_topics(order) | _sanding_topics(order)
    woods = _sensitising_woods(order)
    if woods:
        topics.add("sensitising_dust")
    if any(part.shape.width_in != part.section.width_in for part in parts):
        topics.add("ripping")
    if any(is_preservative_treated(part.species) for part in parts):
        topics.add("treated_wood")
    if _is_reclaimed(order):
        topics.add("old_paint")
    if any(seat in f"{build.name} {build.description}".lower() for build in builds for seat in SEATS):
        topics.add("seating")
    return cautions_for(topics=frozenset(topics), woods=woods)


def finish_cautions(order: Order) -> tuple[Caution, ...]:
    """Return the cautions for who finishes an order: on its products, and on dust where it is sanded."""
    topics, woods = _finish_topics(order), _sensitising_woods(order)
    if is_sanded(order):
        topics |= {"wood_dust", "sanding"} | ({"sensitising_dust"} if woods else set())
        topics |= {"old_paint"} if _is_reclaimed(order) else set()
    return cautions_for(topics=frozenset(topics), woods=woods)


def is_sanded(order: Order) -> bool:
    """Whether an order lists any sanding: as such, as work, or as discs and sheets."""
    names = [use.item for use in order.shop.consumables] + [work.name for work in order.shop.labour]
    for item in order.items:
        names += [use.item for use in item.build.consumables] + [work.name for work in item.build.labour]
    return any(item.build.sanding for item in order.items) or any("sand" in name.lower() for name in names)


def _sanding_topics(order: Order) -> set[str]:
    return {"sanding"} if is_sanded(order) else set()


def _sensitising_woods(order: Order) -> tuple[str, ...]:
    """Return the woods of an order whose dust makes allergic, as its lists call them."""
    species = {name_key(part.species): part.species for item in order.items for part in item.build.parts}
    return tuple(name for name in species.values() if has_sensitising_dust(name))


def _is_reclaimed(order: Order) -> bool:
    parts = [part for item in order.items for part in item.build.parts]
    return any("reclaimed" in f"{part.species} {part.grade} {part.note}".lower() for part in parts)


def _finish_topics(order: Order) -> set[str]:
    """Return the topics that the finish calls for, by the kinds of all that is poured."""
    labels = order.prices.finish_products
    names = {name_key(step.product): step.product for item in order.items for step in item.build.finish}
    topics = set()
    for name in names.values():
        topics |= _topics_of(name, labels, unknown={"oily_rags", "solvent"})
        label = product_named(name, labels)
        if label and label.mixture:
            topics |= {"two_part"} | _topics_of(label.mixture.hardener, labels, unknown=set())
        for auxiliary in label.auxiliaries if label else ():
            if not is_water(auxiliary.product):
                topics |= _topics_of(auxiliary.product, labels, unknown={"solvent"})
    return topics


def _topics_of(product: str, labels: tuple[FinishProduct, ...], *, unknown: set[str]) -> set[str]:
    """Return the topics for the kinds of a product; `unknown` for one whose kinds nobody has written down."""
    label = product_named(product, labels)
    if label is None or not label.kinds:
        return unknown
    return {TOPIC_OF_KIND[kind] for kind in label.kinds if kind in TOPIC_OF_KIND}


def corrosion_notices(order: Order) -> tuple[Notice, ...]:
    """Return a notice for each piece of hardware that the wood of its build stains or eats."""
    found: dict[str, Notice] = {}
    for item in order.items:
        for use in item.build.hardware:
            for species in dict.fromkeys(part.species for part in item.build.parts):
                note = corrosion_note(species, use.material)
                if note:
                    found.setdefault(note, Notice(origin=use.origin, message=note))
    return tuple(found.values())
