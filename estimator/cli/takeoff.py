"""`estimator takeoff`: what an order takes, for each build and with everything pooled."""

from pathlib import Path

from estimator.cli.sanding_lines import sanded_text, sanding_document
from estimator.cli.terminal import load_order, print_heading, print_json, print_notices, print_paragraph, print_table
from estimator.errors import Findings
from estimator.measures import M3_PER_FT3, Measures, measures
from estimator.piece_words import part_text
from estimator.reading.joints import Joint
from estimator.reading.order import Order
from estimator.solid import Shape
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.hardware import HardwareNeed
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.takeoff.take_off import BuildNeeds, Needs, TakeOff, take_off
from estimator.units import IN2_PER_FT2, area_text


def takeoff_command(path: Path, quantity: int | None, *, as_json: bool) -> None:
    """Print the take-off."""
    order = load_order(path, quantity)
    findings = Findings(notices=list(order.notices))
    result = take_off(order, findings)
    findings.raise_faults()
    if as_json:
        print_json(takeoff_document(order, result), findings.notices)
    else:
        _print(order, result)
    print_notices(findings.notices)


def _print(order: Order, result: TakeOff) -> None:
    shown = measures(order.shop.unit)
    print_paragraph(order.title)
    print_heading("Work and weight")
    print_table(
        [
            "Build",
            "units",
            "pieces",
            "end cuts",
            "rips",
            "joints",
            f"{shown.area} x coats",
            f"{shown.weight} each",
        ],
        [_build_row(order, build) for build in result.builds],
    )
    moisture = ", ".join(f"{item.build.name} {item.build.moisture_percent} %" for item in order.items)
    print_paragraph(f"Weight by published densities at a moisture content of: {moisture}.")
    if result.order.sanded:
        print_paragraph(sanded_text(result))
    if len(result.builds) > 1:
        for build in result.builds:
            _print_needs(order, build.needs, f" of {build.item.quantity} {build.item.build.name}")
    _print_needs(order, result.order, "", spares=True)
    for build in result.builds:
        print_heading(f"Parts of {build.item.quantity} {build.item.build.name}")
        print_table(["Part", "as drawn", "pieces"], _part_rows(build), left=2)
        if build.item.build.joints:
            print_heading(f"Joints of one {build.item.build.name}, and what each hides on both parts")
            print_table(["Joint", "how they meet", "joints", "each"], _joint_rows(order, build), left=2)
    for need in result.order.finish:
        print_heading(f"Finish area, {shown.area}: {need.product}")
        print_table(["Build and coat", "faces", "edges", "ends", "together"], _finish_rows(order, need))


def _print_needs(order: Order, needs: Needs, whose: str, *, spares: bool = False) -> None:
    """Print the lumber and the hardware of a build, or of the order with the shop's spares."""
    shown = measures(order.shop.unit)
    volume = "board ft" if order.shop.unit == "in" else "m3"
    print_heading(f"Lumber{whose}, before kerf and waste")
    print_table(
        ["Species, grade, section", "pieces", f"board, {shown.run}", volume],
        [_lumber_row(order, need) for need in needs.lumber],
    )
    if needs.hardware:
        print_heading(f"Hardware{whose}")
        headings = ["Piece", "used", *(["spare", "together"] if spares else [])]
        print_table(headings, [_hardware_row(order, need, spares=spares) for need in needs.hardware])


def _hardware_row(order: Order, need: HardwareNeed, *, spares: bool) -> list[str]:
    row = [need.title(order.shop.unit), str(need.quantity)]
    return [*row, str(need.spares), str(need.quantity + need.spares)] if spares else row


def _build_row(order: Order, build: BuildNeeds) -> list[str]:
    shown, counts = measures(order.shop.unit), build.needs.counts
    units = build.item.quantity
    area_ft2 = sum(coat.area_ft2 for need in build.needs.finish for coat in need.coats)
    return [
        build.item.build.name,
        str(units),
        *(f"{counts[driver]:.0f}" for driver in ("piece", "cut", "rip", "joint")),
        f"{shown.area_of(area_ft2):.1f}",
        f"{shown.weight_of(build.needs.weight_lb) / units:.1f}" + ("*" if build.needs.unweighed else ""),
    ]


def _lumber_row(order: Order, need: LumberNeed) -> list[str]:
    shown = measures(order.shop.unit)
    volume = (
        f"{float(need.board_feet):.1f}" if order.shop.unit == "in" else f"{float(need.volume_ft3 * M3_PER_FT3):.4f}"
    )
    pieces = sum(piece.quantity for piece in need.pieces)
    return [need.title, str(pieces), f"{shown.run_of(need.length_ft):.1f}", volume]


def _part_rows(build: BuildNeeds) -> list[list[str]]:
    """Return each part with how it is cut, in the order of its list."""
    pieces = sorted((piece for need in build.needs.lumber for piece in need.pieces), key=_place_in_list)
    return [[piece.part.name, part_text(piece, piece.unit), str(piece.quantity)] for piece in pieces]


def _joint_rows(order: Order, build: BuildNeeds) -> list[list[str]]:
    """Return how the parts of one unit meet, as in joints.csv, with what one of such joints hides."""
    return [
        [joint.joint, _meeting_text(joint), str(joint.joints), area_text(joint.area_in2, order.shop.unit)]
        for joint in build.item.build.joints
    ]


def _meeting_text(joint: Joint) -> str:
    glued = ", glued" if joint.glued else ""
    return f"{joint.surface} of {joint.part} on {joint.on_surface} of {joint.on_part}{glued}"


def _place_in_list(piece: PieceNeed) -> int:
    return piece.part.origin.line or 0


def _finish_rows(order: Order, need: FinishNeed) -> list[list[str]]:
    area_of = measures(order.shop.unit).area_of
    return [
        [
            f"{coat.build}, coat {coat.number}",
            f"{area_of(coat.area.faces_ft2):.1f}",
            f"{area_of(coat.area.edges_ft2):.1f}",
            f"{area_of(coat.area.ends_ft2):.1f}",
            f"{area_of(coat.area_ft2):.1f}",
        ]
        for coat in need.coats
    ]


def takeoff_document(order: Order, result: TakeOff) -> dict[str, object]:
    """Return the take-off as one document, with units in its keys."""
    return {
        "order": order.title,
        "builds": [
            {
                "name": build.item.build.name,
                "units": build.item.quantity,
                **_needs_document(order, build.needs),
                "joints": [_joint_document(order, joint) for joint in build.item.build.joints],
            }
            for build in result.builds
        ],
        "together": _needs_document(order, result.order),
    }


def _needs_document(order: Order, needs: Needs) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        f"weight_{shown.weight}": round(shown.weight_of(needs.weight_lb), 3),
        "species_without_published_density": list(needs.unweighed),
        "counts": {driver.replace(" ", "_"): str(count) for driver, count in needs.counts.items()},
        "lumber": [_lumber_document(order, need) for need in needs.lumber],
        "hardware": [_hardware_document(order, need) for need in needs.hardware],
        "finish": [finish_need_document(order, need) for need in needs.finish],
        "sanding": sanding_document(needs.sanded),
        "consumables": [{"item": need.item, "amount": str(need.quantity)} for need in needs.consumables],
    }


def _joint_document(order: Order, joint: Joint) -> dict[str, object]:
    """Return how two parts meet, and the area that one such joint hides on each of them."""
    shown = measures(order.shop.unit)
    return {
        "joint": joint.joint,
        "part": joint.part,
        "surface": joint.surface,
        "on_part": joint.on_part,
        "on_surface": joint.on_surface,
        "joints_in_one_unit": joint.joints,
        f"hides_{shown.area}": round(shown.area_of(joint.area_in2 / IN2_PER_FT2), 6),
        "glued": joint.glued,
        "from": str(joint.origin),
    }


def _lumber_document(order: Order, need: LumberNeed) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "species": need.species,
        "grade": need.grade,
        "section": need.section.text,
        f"run_{shown.run}": round(shown.run_of(need.length_ft), 4),
        "board_feet": round(float(need.board_feet), 4),
        "volume_m3": round(float(need.volume_ft3 * M3_PER_FT3), 6),
        "parts": [
            {
                "build": piece.build,
                "part": piece.part.name,
                "pieces": piece.quantity,
                "blanks": piece.blanks,
                f"blank_length_{shown.length}": round(shown.length_of(piece.blank_length_in), 4),
                "strips_per_blank": piece.strips,
                **_shape_document(piece.part.shape, shown),
                "show_face": piece.part.show_face,
                "match": piece.part.match,
                "from": str(piece.part.origin),
            }
            for piece in need.pieces
        ],
    }


def _shape_document(shape: Shape, shown: Measures) -> dict[str, object]:
    """Return the finished measures, and how the ends lean as drawn."""
    return {
        f"length_{shown.length}": round(shown.length_of(shape.length_in), 4),
        f"width_{shown.length}": round(shown.length_of(shape.width_in), 4),
        f"thickness_{shown.length}": round(shown.length_of(shape.thickness_in), 4),
        "left_mitre_degrees": float(shape.left_degrees),
        "right_mitre_degrees": float(shape.right_degrees),
        "left_bevel_degrees": float(shape.left_bevel_degrees),
        "right_bevel_degrees": float(shape.right_bevel_degrees),
        "clipped_corners": [clip.corner for clip in shape.clips],
        "rounded_corners": [one.corner for one in shape.rounded_corners],
        "tapered_sides": [taper.side for taper in shape.tapers],
    }


def _hardware_document(order: Order, need: HardwareNeed) -> dict[str, object]:
    return {
        "kind": need.kind,
        "size": need.size,
        f"length_{measures(order.shop.unit).length}": None
        if need.length_in is None
        else round(measures(order.shop.unit).length_of(need.length_in), 4),
        "material": need.material,
        "used": need.quantity,
        "spare": need.spares,
        "from": [str(use.origin) for use in need.uses],
    }


def finish_need_document(order: Order, need: FinishNeed) -> dict[str, object]:
    """Return the need for one product, coat by coat."""
    shown = measures(order.shop.unit)
    return {
        "product": need.product,
        f"need_at_low_rate_{shown.liquid}": round(shown.liquid_of(need.need_at_low_rate_gal), 4),
        f"need_at_high_rate_{shown.liquid}": round(shown.liquid_of(need.need_at_high_rate_gal), 4),
        "coats": [
            {
                "build": coat.build,
                "coat": coat.number,
                f"faces_{shown.area}": round(shown.area_of(coat.area.faces_ft2), 4),
                f"edges_{shown.area}": round(shown.area_of(coat.area.edges_ft2), 4),
                f"ends_{shown.area}": round(shown.area_of(coat.area.ends_ft2), 4),
                f"low_rate_{shown.area}_per_{shown.liquid}": round(shown.rate_of(coat.spread.low_ft2_per_gal), 4),
                f"high_rate_{shown.area}_per_{shown.liquid}": round(shown.rate_of(coat.spread.high_ft2_per_gal), 4),
                "end_grain_counts_times": str(coat.end_grain_factor),
                "method": coat.step.method,
                "loss_percent": str(coat.loss_percent),
                "loss_source": coat.loss_source,
                "rate_from": str(coat.rate_origin),
                "rate_source": coat.rate_source,
            }
            for coat in need.coats
        ],
    }
