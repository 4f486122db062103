"""Sanding on the terminal: area, discs and hours of each grit, and the same as a document."""

from estimator.cli.terminal import print_heading, print_paragraph, print_table
from estimator.measures import measures
from estimator.reading.order import Order
from estimator.takeoff.sanding import MINUTES_EACH_DIGITS, SandedArea, SandedGrit, by_grit
from estimator.takeoff.take_off import TakeOff
from estimator.units import amount_text, decimal_text


def print_sanding(order: Order, takeoff: TakeOff) -> None:
    """Print what each grit sands in the whole order; nothing where nothing is sanded."""
    grits = by_grit(takeoff.order.sanded)
    if not grits:
        return
    print_heading("Sanding")
    print_table(
        ["Grit", "disc or sheet", measures(order.shop.unit).area, "pieces", "hours"],
        [
            [
                str(one.setting.grit),
                one.setting.item,
                f"{one.area:.1f}",
                amount_text(one.pieces, 1),
                amount_text(one.minutes / 60, 1),
            ]
            for one in grits
        ],
        left=2,
    )
    hours = sum(one.minutes for one in grits) / 60
    print_paragraph(
        f"Together {amount_text(hours, 1)} hours, paid as {order.shop.sanding.rate}. {_edges_text(order)}".rstrip()
    )
    for one in grits:
        print_paragraph(_setting_text(one))


def _edges_text(order: Order) -> str:
    times = order.shop.sanding.edge_factor
    return "" if times == 1 else f"The time counts edges and ends {times} times (shop setting)."


def _setting_text(grit: SandedGrit) -> str:
    """Say what a grit takes and where that is written: `120 grit: 0.35 minutes a ft2, 6 ft2 a disc or sheet: ...`."""
    unit = grit.passes[0].area_unit
    return (
        f"{grit.setting.grit} grit: {decimal_text(grit.passes[0].minutes_each, 3)} minutes a {unit}, "
        f"{decimal_text(grit.passes[0].area_per_piece, 3)} {unit} a disc or sheet: {grit.setting.source} "
        f"({grit.setting.origin})."
    )


def sanded_text(takeoff: TakeOff) -> str:
    """Say what is sanded of each build: `Sanded, each grit counted: Bench 183.2 ft2, Shelf 2.4 ft2.`."""
    areas = [
        f"{build.item.build.name} {sum(one.area for one in build.needs.sanded):,.1f} {build.needs.sanded[0].area_unit}"
        for build in takeoff.builds
        if build.needs.sanded
    ]
    return f"Sanded, each grit counted: {', '.join(areas)}."


def sanding_document(sanded: tuple[SandedArea, ...]) -> list[dict[str, object]]:
    """Return what each grit of each pass sands, with units in the keys."""
    return [
        {
            "build": one.build,
            "when": one.sanding.when,
            "grit": one.grit.grit,
            "item": one.grit.item,
            f"faces_{one.area_unit}": str(one.faces),
            f"edges_{one.area_unit}": str(one.edges),
            f"ends_{one.area_unit}": str(one.ends),
            f"area_{one.area_unit}": str(one.area),
            "edges_and_ends_count_times": str(one.edge_factor),
            f"minutes_per_{one.area_unit}": decimal_text(one.minutes_each, MINUTES_EACH_DIGITS),
            "minutes": str(one.minutes),
            f"area_per_piece_{one.area_unit}": round(float(one.area_per_piece), 6),
            "pieces": f"{float(one.pieces):.4f}",
            "source": one.grit.source,
            "from": str(one.sanding.origin),
        }
        for one in sanded
    ]
