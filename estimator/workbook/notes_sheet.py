"""Notes and cautions: what to look at again, what can hurt someone, and the rules the figures rest on."""

from estimator.reading.sanding import UNSOURCED
from estimator.takeoff.cautions import job_cautions
from estimator.takeoff.sanding import SandedGrit, by_grit
from estimator.units import decimal_text, length_text
from estimator.workbook.cells import Sheet
from estimator.workbook.finish_rules import finish_rules
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, short_origin
from estimator.workbook.sanding_sheet import SANDING_RULE
from estimator.workbook.styles import SECTION, SUBTITLE, WARNING, WRAPPED

WIDTHS = (70, 50)
SETTINGS = "shop settings"


def write_notes(sheet: Sheet, setting: Setting) -> None:
    """Write notices, cautions and the rules of the figures with their sources."""
    begin_sheet(
        sheet,
        setting,
        title="Notes and cautions",
        subtitle="For the shop. Products' labels, local rules and licensed practice come before anything said here.",
        landscape=True,
        heading_row=None,
    )
    for number, width in enumerate(WIDTHS, start=1):
        sheet.widen(number, width)
    row = _write_rows(sheet, FIRST_ROW, "To look at before the quote goes out", _notices(setting), warn=True)
    cautions = [(caution.text, caution.source) for caution in job_cautions(setting.estimate.order)]
    row = _write_rows(sheet, row, "Cautions", cautions, warn=True)
    _write_rows(sheet, row, "Rules the figures rest on", _rules(setting), warn=False)


def _write_rows(sheet: Sheet, row: int, title: str, rows: list[tuple[str, str]], *, warn: bool) -> int:
    sheet.put_text(row, 1, title, SECTION)
    for text, source in rows:
        row += 1
        sheet.put_text(row, 1, text, WARNING if warn else WRAPPED)
        sheet.put_text(row, 2, source, WRAPPED)
    if not rows:
        row += 1
        sheet.put_text(row, 1, "Nothing.", SUBTITLE)
    return row + 2


def _notices(setting: Setting) -> list[tuple[str, str]]:
    return [(notice.message, short_origin(notice.origin)) for notice in setting.estimate.notices]


def _rules(setting: Setting) -> list[tuple[str, str]]:
    """Return each rule with where it comes from: the shop's own settings, a published source, or common practice."""
    return [*_saw_rules(setting), *_lumber_rules(setting), *_shop_rules(setting), *_money_rules(setting)]


def _saw_rules(setting: Setting) -> list[tuple[str, str]]:
    saw, unit = setting.estimate.order.shop.saw, setting.shown.length
    cuts = (
        f"Saw: {length_text(saw.kerf_in, unit)} a crosscut, {length_text(saw.rip_kerf_in, unit)} a rip, "
        f"{length_text(saw.end_trim_in, unit)} off each end of a board; left-overs from "
        f"{length_text(saw.usable_offcut_in, unit)} are kept."
    )
    leaning = (
        "A piece with leaning ends takes board from its furthest point to its furthest point, and what a leaning cut "
        f"takes more than a square one, rounded up to {'1/64 in' if unit == 'in' else '0.1 mm'}."
    )
    nested = (
        "Neighbours that lean alike lie closer by the lesser of their slopes. A part may be turned over for that, "
        "unless one of its faces must show."
    )
    return [(cuts, SETTINGS), (leaning, "geometry"), (nested, "geometry; parts.csv of each build")]


def _lumber_rules(setting: Setting) -> list[tuple[str, str]]:
    estimate, unit = setting.estimate, setting.shown.length
    rules = []
    if estimate.buy_sheet.boards:
        claim = "Boards are called the cheapest possible only where a lower bound proves it; else the bound is printed."
        rules.append((claim, "column generation with an exact bound; see the cutting list"))
    rules += _rough_rules(setting)
    if any(one.uses_stock for one in estimate.buy_sheet.boards):
        counted = {
            "free": "nothing",
            "cost": "their share of the cheapest price for a foot of the same wood",
            "set": "their own value in the list of stock",
        }[estimate.order.shop.saw.stock_value]
        rules.append((f"Boards on hand count {counted}.", SETTINGS))
    if estimate.buy_sheet.volumes:
        extra = estimate.order.shop.random_lumber
        allowance = (
            f"Lumber of random length or width: pieces with {length_text(extra.extra_length_in, unit)} of extra length "
            f"and {length_text(extra.extra_width_in, unit)} of extra width, divided by the grade's yield. "
            "An allowance, not a plan."
        )
        yields = dict.fromkeys(f"{one.title}: {one.yield_source}" for one in estimate.buy_sheet.volumes)
        rules.append((allowance, "; ".join(yields)))
    weight = setting.shown.weight_of(estimate.takeoff.order.weight_lb)
    moisture = " and ".join(f"{p} %" for p in sorted({item.build.moisture_percent for item in estimate.order.items}))
    heavy = (
        f"The wood of the order weighs about {weight:.0f} {setting.shown.weight} at a moisture content of {moisture}; "
        "boards of a species vary by 10 %."
    )
    rules.append((heavy, "densities: Wood Handbook GTR-190, USDA Forest Service"))
    if unit == "in":
        measure = "Board feet by nominal size, stock under 1 in counted as 1 in thick, without kerf."
        rules.append((measure, "US Navy Engineering Aid Basic, lumber chapter"))
    return rules


def _rough_rules(setting: Setting) -> list[tuple[str, str]]:
    """Return what parts planed from rough boards take more, where there are any."""
    unit, extra = setting.shown.length, setting.estimate.order.shop.rough_lumber
    if not any(need.section.rough for need in setting.estimate.takeoff.order.lumber):
        return []
    text = (
        f"Parts planed from rough boards take {length_text(extra.extra_length_in, unit)} more of length, "
        f"{length_text(extra.extra_width_in, unit)} of width and {length_text(extra.extra_thickness_in, unit)} of "
        "thickness than they measure in the end."
    )
    return [(text, SETTINGS)]


def _shop_rules(setting: Setting) -> list[tuple[str, str]]:
    shop = setting.estimate.order.shop
    paid = ", ".join(f"{kind} {'bought' if bought else 'used'}" for kind, bought in shop.client_pays_bought.items())
    hidden = (
        "Area that joints hide takes no finish where it goes on after assembly, and takes it where it goes on before."
    )
    return [
        (f"Spare fasteners: {shop.spares.percent} %, at least {shop.spares.at_least} of each.", SETTINGS),
        *finish_rules(setting),
        (hidden, "build.toml of each build"),
        *_sanding_rules(setting),
        (f"The client pays for {paid}.", SETTINGS),
    ]


def _sanding_rules(setting: Setting) -> list[tuple[str, str]]:
    """Return how sanding is counted and what each grit takes, with where that comes from; nothing without sanding."""
    grits = by_grit(setting.estimate.takeoff.order.sanded)
    if not grits:
        return []
    unit = setting.shown.area
    return [(SANDING_RULE, UNSOURCED), *((_grit_rule(one, unit), one.setting.source) for one in grits)]


def _grit_rule(grit: SandedGrit, unit: str) -> str:
    one = grit.passes[0]
    return (
        f"{one.grit.grit} grit: {decimal_text(one.minutes_each, 3)} minutes a {unit}, "
        f"{decimal_text(one.area_per_piece, 3)} {unit} until {one.grit.item} is dull."
    )


def _money_rules(setting: Setting) -> list[tuple[str, str]]:
    shop = setting.estimate.order.shop
    rounding = (
        "Money is rounded half up to the cent on every printed line; the price of one is rounded up to a whole number "
        f"of {shop.currency.text(shop.round_up_to)}."
    )
    profit = "Margin is a share of the price, markup of the cost: price = cost / (1 - margin) = cost x (1 + markup)."
    return [
        (rounding, "half up: US Streamlined Sales and Use Tax Agreement, section 324"),
        (profit, "Converting between margin and markup, themathsguide.ie"),
    ]
