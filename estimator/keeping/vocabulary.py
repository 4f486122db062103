"""Words that price lists are headed with and price by, in English and in German; all from memory.

They serve to propose a map. Taking over goes by the map alone, so that a word too many here harms nobody.
"""

import re

from estimator.reading.fields import name_key

_PRICE = """price, list price, unit price, net price, gross price, price each, price ea, your price, cost,
    cost each, cost ea,
    preis, listenpreis, nettopreis, bruttopreis, einzelpreis, stückpreis, vk, ek, preis netto, preis brutto"""
_DATE = """date, price date, valid from, as of, effective, effective date, eff. date, eff date, eff,
    datum, preisstand, stand, gültig ab"""
_NOTE = "note, notes, remark, remarks, comment, bemerkung, bemerkungen, anmerkung, hinweis"
_PRICED_BY = """per, price per, price unit, pricing unit, unit of measure, u/m, um, uom, sold by, priced by, sell unit,
    selling unit, preiseinheit, pe, preis pro, preis je, je"""
_PER = f"{_PRICED_BY}, unit, units, einheit, mengeneinheit, me"
_FROM = "from quantity, from, minimum quantity, min qty, ab menge, ab, staffel, mindestmenge"
_PACK = """pack, pack size, pack quantity, pack qty, package, packaging, per pack, pieces, pcs, quantity, qty, count,
    box, qty per box, box quantity, inhalt, packung, packungsgröße, packungsinhalt, verpackungseinheit, ve, vpe, menge,
    stück, stückzahl, gebinde"""
_ITEM = """item, article, product, name, description, designation, goods,
    artikel, artikelbezeichnung, bezeichnung, benennung, produkt, ware, beschreibung"""
_LENGTH = "length, len, lgth, lgt, lngth, board length, lengths, länge, lg"

# Headings by our column, for each of our tables; the parts of a section stand under names of their own.
HEADINGS = {
    "lumber": {
        "species": "species, timber, wood, wood species, lumber, holzart, holz, baumart, species name",
        "grade": "grade, quality, class, sort, qualität, güte, güteklasse, sortierung, sortierklasse, klasse",
        "section": """section, size, dimension, dimensions, nominal size, nominal, profile, cross section,
            querschnitt, abmessung, abmessungen, maß, maße, format, stärke x breite""",
        "thickness": "thickness, thick, thk, thck, stärke, dicke",
        "width": "width, wide, wd, wdth, breite",
        "length": _LENGTH,
        "price": f"{_PRICE}, bf price, lf price, price bf, price lf, cost bf, cost lf",
        "per": _PER,
        "from_quantity": _FROM,
        "date": _DATE,
        "note": _NOTE,
    },
    "hardware": {
        "kind": f"kind, type, category, fastener, art, typ, {_ITEM}",
        "size": "size, gauge, thread, diameter, dia, größe, durchmesser, gewinde, ø, nennmaß, nenndurchmesser",
        "length": _LENGTH,
        "material": "material, finish, coating, steel, werkstoff, oberfläche, ausführung, güte",
        "pack": _PACK,
        "price": _PRICE,
        "per": _PER,
        "from_quantity": _FROM,
        "date": _DATE,
        "note": _NOTE,
    },
    "finishes": {
        "product": f"{_ITEM}, finish, stain, oil, paint, lack, öl, lasur",
        "container": """container, can, can size, size, volume, content, pack, unit size,
            gebinde, gebindegröße, inhalt, volumen, dose, menge""",
        "price": _PRICE,
        "per": _PER,
        "from_quantity": _FROM,
        "date": _DATE,
        "note": _NOTE,
    },
    "consumables": {
        "item": _ITEM,
        "pack": _PACK,
        "unit": "unit, pack unit, counted in, einheit, mengeneinheit, me",
        "price": _PRICE,
        "per": _PRICED_BY,
        "from_quantity": _FROM,
        "date": _DATE,
        "note": _NOTE,
    },
}
# What tells the tables apart: a list with one of these is hardly of another kind.
TELLING = {
    "lumber": ("species", "thickness", "width"),
    "hardware": ("size", "material"),
    "finishes": ("container",),
    "consumables": ("unit",),
}
# What price lists call the units that our table prices lumber by, and the packs it prices all else by.
UNITS = {
    "each": "each, ea, piece, pc, pcs, stk, stck, stück, st",
    "ft": "lf, lft, lin ft, linear ft, linear feet, running foot, rft",
    "m": "lm, lfm, lfdm, rm, running metre, running meter, laufmeter, laufender meter, meter",
    "bf": "bdft, bd.ft, fbm, board feet, board measure",
    "MBF": "mfbm, 1000 bf",
    "m3": "m³, cbm, fm, festmeter, kubikmeter, cu m",
    "ft3": "ft³, cf, cu ft, cubic feet",
    "m2": "m², qm, quadratmeter",
    "ft2": "ft², sf, sqft, sq ft, sq.ft",
    "100": "c, hundred, %, hundert",
    "1000": "thousand, ‰, tsd, tausend",
    "12": "dz, doz, dozen, dutzend",
    "pack": "pck, packung, pkg, paket, ve, vpe",
}
_OF_PIECES = ("100", "1000", "12")
_NO_UNITS = {"lumber": (*_OF_PIECES, "pack"), "finishes": _OF_PIECES}  # of these, by our table
# The hardware trade's hundred and thousand are Roman numbers. A yard's M is a thousand board feet, or a metre.
THOUSAND = "M"
_IN_WHOLE = ("u/m",)  # headings whose slash is no "per"
_WITH_TAX = re.compile(r"\b(?:incl|inkl|including|inklusive|brutto|gross)", re.IGNORECASE)
_TAX_WORDS = re.compile(
    r"\b(?:(?:incl|inkl|including|inklusive|excl|exkl|zzgl|plus|ohne|mit|w/o)\b.*|netto|net|brutto|gross)",
    re.IGNORECASE,
)
_PRICED_PER = re.compile(r"(?:/|\b(?:per|pro|je)\b)\s*([\w³²]+)\.?\s*[)\]]?$", re.IGNORECASE)
_OF_MONEY = re.compile(r"[$€£]|\b(?:USD|EUR|GBP|CHF|CAD|netto|net|brutto|gross)\b", re.IGNORECASE)
LUMBER_UNITS = ("bf", "mbf", "bdft", "lf", "lft", "ea", "each")  # that stand in the headings of its prices
_LENGTH_UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "feet", "foot", "'"), "ft"),
    **{unit: unit for unit in ("mm", "cm", "m")},
}


def words_of(heading: str) -> str:
    """Return a heading's words as they are compared: without currency, unit and what stands in brackets.

    Where nothing else is left of `$/BF` or `Net $`, it is a price.
    """
    if name_key(heading.strip(" .:*")) in _IN_WHOLE:
        return name_key(heading.strip(" .:*"))
    bare = _PRICED_PER.sub("", _TAX_WORDS.sub("", _without_brackets(heading)).strip(" .:*"))
    *first, last = bare.split() or [""]
    words = name_key(" ".join(first) if first and last.strip(".").lower() in _LENGTH_UNITS else bare).strip(" .:*,")
    return words or ("price" if _OF_MONEY.search(heading) else "")


def _without_brackets(heading: str) -> str:
    return re.sub(r"\(.*?\)|\[.*?\]|[$€£]|\b(?:USD|EUR|GBP|CHF|CAD)\b", " ", heading).strip(" .:*")


def known_words(table: str, column: str) -> tuple[str, ...]:
    """Return the headings by which a column of ours is known."""
    return tuple(name_key(word) for word in HEADINGS[table][column].split(","))


def unit_of(heading: str) -> str:
    """Return the unit of length that a heading ends in, `mm` of `Länge (mm)`, or nothing."""
    words = re.split(r"[\s(\[/]+", heading.strip(" .:*)]").lower())
    return _LENGTH_UNITS.get(words[-1].strip("."), "") if len(words) > 1 else ""


def priced_per(heading: str, table: str) -> str:
    """Return our word for what a price is per by its heading, `m3` of `Preis/m³`, or nothing."""
    found = _PRICED_PER.search(_TAX_WORDS.sub("", _without_brackets(heading)).strip(" .:*"))
    if found:
        return our_unit(found[1], table)
    named = [word for word in re.findall(r"\w+", heading.lower()) if word in LUMBER_UNITS] if table == "lumber" else []
    return our_unit(named[-1], table) if named else ""


def with_tax(heading: str) -> bool:
    """Whether a heading says that a price holds tax."""
    return bool(_WITH_TAX.search(heading))


def our_unit(word: str, table: str) -> str:
    """Return our word for what a price of a table is per, or nothing where it is not known."""
    if word.strip() == THOUSAND:
        return "" if table in _NO_UNITS else "1000"
    key = name_key(word).removeprefix("per ").removeprefix("pro ").removeprefix("je ").rstrip(".")
    known = {ours: theirs for ours, theirs in UNITS.items() if ours not in _NO_UNITS.get(table, ())}
    return next((ours for ours, theirs in known.items() if key in map(name_key, (ours, *theirs.split(",")))), "")
