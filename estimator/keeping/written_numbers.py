"""Numbers and prices as suppliers write them, brought into the one form our tables are written in."""

import re
from fractions import Fraction
from functools import lru_cache

from estimator.money import SYMBOLS, Currency, rounded
from estimator.units import parse_number, plain

PRICE_PLACES = 6


@lru_cache(maxsize=65_536)  # a long price list writes the same few texts over and over
def point_text(text: str, *, decimal_comma: bool, declared: bool) -> str:
    """Return a text whose numbers have a point before the decimals and nothing between thousands.

    Raises ValueError where a number could be two, and the map does not declare which mark starts the decimals.
    """
    plainly = plain(text)
    if re.fullmatch(r"\d{1,3}(?: \d{3})+(?:[.,]\d+)?", plainly):
        plainly = plainly.replace(" ", "")
    mark, other = (",", ".") if decimal_comma else (".", ",")
    grouped = re.compile(rf"(?<![\d.,])[1-9]\d{{0,2}}(?:\{other}\d{{3}})+(?![\d{other}])")
    for number in grouped.findall(plainly) if not declared else ():
        if number.count(other) == 1 and f"{number}{mark}" not in plainly:
            both = number.replace(other, ""), number.replace(other, mark)
            raise ValueError(f'"{text}" could mean {both[0]} or {both[1]}; write decimal = "," or "." into the map')
    plainly = grouped.sub(lambda number: number[0].replace(other, ""), plainly)
    return (
        re.sub(r"(?<=\d),(?=\d)", ".", plainly) if decimal_comma else re.sub(r"(?<=\d),(?=\d\d?(?!\d))", ".", plainly)
    )


def parse_price(text: str, currency: Currency) -> Fraction:
    """Return a price with a point before its decimals and signs around it: `$12.40`, `12.40 EUR`. Raises ValueError."""
    bare = plain(text)
    for sign in _signs(currency):
        bare = bare.replace(sign, "")
    bare = re.sub(r"[.,]-+$", "", bare.strip())  # `12,-` is 12
    if any(code in bare or sign.strip() in bare for code, sign in SYMBOLS.items()):
        remedy = "write the supplier's currency and its rate into suppliers.toml"
        raise ValueError(f'"{text}" is in another currency than {currency.code}; {remedy}')
    try:
        price = parse_number(bare)
    except ValueError:
        price = Fraction(0)
    if price <= 0:
        remedy = "write it like 12.50, or write a word of its row under skip in the map"
        raise ValueError(f'"{text}" is not a price; {remedy}')
    return price


def _signs(currency: Currency) -> tuple[str, ...]:
    """Return what may stand beside a price, the longest first; shops of every dollar write a bare $ at home."""
    symbol = currency.symbol.strip()
    dollars = ("US$", "$") if currency.code == "USD" else ("$",) if symbol.endswith("$") else ()
    return (currency.code, symbol, *dollars) if symbol != "$" else (currency.code, *dollars)


def price_text(price: Fraction, currency: Currency) -> tuple[str, bool]:
    """Return a price to the coin, finer where it is finer, half up to six places at most; and whether that is exact."""
    to_the_coin = rounded(price, currency.digits)
    if to_the_coin == price:
        return f"{to_the_coin:f}", True
    fine = rounded(price, PRICE_PLACES)
    return f"{to_the_coin if fine == to_the_coin else fine.normalize():f}", fine == price
