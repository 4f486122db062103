"""The cautions that a job calls for: dust, rags, blades, solvents, screws that stain, load on a chair."""

from estimator.errors import Notice
from estimator.reading.order import Order
from estimator.standards.cautions import Caution, cautions_for
from estimator.standards.fasteners import corrosion_note
from estimator.standards.wood import has_sensitising_dust, is_preservative_treated

SEATS = ("chair", "bench", "seat", "stool", "settle")


def job_cautions(order: Order) -> tuple[Caution, ...]:
    """Return the cautions for what an order contains."""
    builds = [item.build for item in order.items]
    parts = [part for build in builds for part in build.parts]
    topics = {"wood_dust", "noise"}
    if any(part.shape.width_in != part.section.width_in for part in parts):
        topics.add("ripping")
    if any(has_sensitising_dust(part.species) for part in parts):
        topics.add("sensitising_dust")
    if any(is_preservative_treated(part.species) for part in parts):
        topics.add("treated_wood")
    if any("reclaimed" in f"{part.species} {part.grade} {part.note}".lower() for part in parts):
        topics.add("old_paint")
    if any(build.finish for build in builds):
        topics |= {"oily_rags", "solvent"}
    if any(seat in f"{build.name} {build.description}".lower() for build in builds for seat in SEATS):
        topics.add("seating")
    return cautions_for(topics=frozenset(topics))


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
