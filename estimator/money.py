"""Money: Decimal amounts of one currency, rounded half up, once per printed line.

Half up is what the US Streamlined Sales and Use Tax Agreement, section 324, asks for tax, and what a spreadsheet's
ROUND does, so the workbook's formulas and these functions agree to the cent.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import accumulate, pairwise

# Minor units per ISO 4217, as shipped in CLDR (Babel 2.18.0); codes not listed have two.
MINOR_DIGITS = {
    **dict.fromkeys(("JPY", "KRW", "CLP", "VND", "ISK"), 0),
    **dict.fromkeys(("KWD", "BHD", "OMR", "TND", "JOD"), 3),
}
SYMBOLS = {"USD": "$", "EUR": "€", "GBP": "£", "CAD": "C$", "AUD": "A$", "NZD": "NZ$", "CHF": "CHF "}


@dataclass(frozen=True, kw_only=True, slots=True)
class Currency:
    """A currency by its ISO 4217 code."""

    code: str

    @property
    def digits(self) -> int:
        """Decimal places of its smallest coin."""
        return MINOR_DIGITS.get(self.code, 2)

    @property
    def symbol(self) -> str:
        """The sign printed before an amount; the code itself where there is no common sign."""
        return SYMBOLS.get(self.code, f"{self.code} ")

    @property
    def cent(self) -> Decimal:
        """The smallest amount: 0.01 for most currencies."""
        return Decimal(1).scaleb(-self.digits)

    def rounded(self, amount: Decimal | Fraction) -> Decimal:
        """Round half up to the smallest coin."""
        return rounded(amount, self.digits)

    def unit_price(self, price: Decimal) -> Decimal:
        """Return a price to the coin, or as it is written where that is finer: a loose screw may cost 0.035."""
        to_the_coin = self.rounded(price)
        return to_the_coin if to_the_coin == price else price

    def price_text(self, price: Decimal) -> str:
        """Write a price for people, its parts of a coin with it: `$1,234.50`, `$0.035`."""
        return f"{self.symbol}{self.unit_price(price):,f}"

    def text(self, amount: Decimal) -> str:
        """Write an amount for people: `$1,234.50`, `-€12.00`."""
        sign = "-" if amount < 0 else ""
        return f"{sign}{self.symbol}{abs(self.rounded(amount)):,}"


def rounded(amount: Decimal | Fraction, digits: int) -> Decimal:
    """Round an exact amount half up to so many decimal places."""
    if isinstance(amount, Decimal):
        return amount.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    scaled = abs(amount) * 10**digits
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return Decimal(whole if amount >= 0 else -whole).scaleb(-digits)


def up_to_step(amount: Decimal, step: Decimal) -> Decimal:
    """Round an amount up to a whole number of steps: 412.30 in steps of 5 is 415."""
    return (amount / step).to_integral_value(ROUND_CEILING) * step


def apportion(total: Decimal, shares: tuple[Fraction, ...] | tuple[Decimal, ...], digits: int) -> tuple[Decimal, ...]:
    """Return a total split by shares that add up to one, in parts of so many digits that add up to it again.

    Each part is what the rounded running sum grows by, which a spreadsheet can repeat by formulas. Rounding each
    part and giving the rest to the last would charge a cent of bolts to a build without bolts, or take one off; here no
    share is no money, and no part is below zero.
    """
    running = accumulate((Fraction(total) * Fraction(share) for share in shares), initial=Fraction(0))
    return tuple(after - before for before, after in pairwise(rounded(amount, digits) for amount in running))
