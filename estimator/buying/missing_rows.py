"""The rows that price tables lack for a need, with what the need says of them: the rest is for the user to fill in."""

from fractions import Fraction
from pathlib import Path

from estimator.errors import Origin, RowToFill
from estimator.reading.shop import Shop
from estimator.takeoff.hardware import HardwareNeed
from estimator.takeoff.lumber import LumberNeed
from estimator.units import MM_PER_IN, length_text, parse_length

LONGEST_BOTTOM = 9999  # of a fraction that can be read


def lumber_row(need: LumberNeed, shop: Shop, hint: str = "") -> RowToFill:
    """Return the row of a board of a need's wood; where its widths are random, of lumber sold by volume."""
    known = {"species": need.species, "grade": need.grade, "section": need.section.text}
    per = "each"
    if need.section.random_width:
        known["length"] = "random"
        per = "bf" if shop.unit == "in" else "m3"
    return RowToFill(
        table=shop.price_tables / "lumber.csv",
        item=need.title,
        origin=need.pieces[0].part.origin,
        known=tuple((name, text) for name, text in known.items() if text),
        proposed=(("per", per),),
        hint=hint,
    )


def hardware_row(need: HardwareNeed, shop: Shop, hint: str = "") -> RowToFill:
    """Return the row of a pack of a piece of hardware."""
    known = {"kind": need.kind, "size": need.size, "material": need.material}
    if need.length_in is not None:
        known["length"] = exact_length_text(need.length_in, shop.unit)
    return RowToFill(
        table=shop.price_tables / "hardware.csv",
        item=need.title(shop.unit),
        origin=need.uses[0].origin,
        known=tuple(known.items()),
        hint=hint,
    )


def can_row(product: str, origin: Origin, tables: Path, hint: str = "") -> RowToFill:
    """Return the row of a can of a finish, a hardener, a thinner or a cleaner."""
    return _named_row(tables / "finishes.csv", "product", product, origin, hint)


def consumable_row(item: str, origin: Origin, tables: Path, hint: str = "") -> RowToFill:
    """Return the row of a pack of a consumable."""
    return _named_row(tables / "consumables.csv", "item", item, origin, hint)


def _named_row(table: Path, heading: str, name: str, origin: Origin, hint: str) -> RowToFill:
    return RowToFill(
        table=table,
        item=name,
        origin=origin,
        known=((heading, name),),
        hint=hint,
    )


def exact_length_text(length_in: Fraction, unit: str) -> str:
    """Return a length that reads back to just itself, in the shop's unit where that can be.

    A price row must agree with the need to the last digit: 50 mm is no whole number of 64ths of an inch.
    """
    other = "mm" if unit == "in" else "in"
    whole, part = divmod(length_in, 1)
    mixed = f"{whole or ''} {part.numerator}/{part.denominator} in".strip()
    texts = [length_text(length_in, unit), length_text(length_in, other), _decimal_text(length_in * MM_PER_IN)]
    if part.denominator <= LONGEST_BOTTOM:
        texts.insert(2, mixed)
    return next((text for text in texts if _reads_as(text, unit, length_in)), texts[0])


def _reads_as(text: str, unit: str, length_in: Fraction) -> bool:
    try:
        return parse_length(text, unit=unit) == length_in
    except ValueError:  # rounded to nothing, or to more than can be read
        return False


def _decimal_text(length_mm: Fraction) -> str:
    """Return millimetres with all their decimals."""
    digits = next((count for count in range(28) if (length_mm * 10**count).denominator == 1), 0)
    whole = f"{int(length_mm * 10**digits):0{digits + 1}d}"
    return f"{whole[:-digits]}.{whole[-digits:]} mm" if digits else f"{whole} mm"
