"""A column of a list that says what its prices are per, and that the map leaves out.

Without it a price per hundred would pass for the price of a pack, and nothing in the row would look wrong.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from estimator.errors import Findings
from estimator.keeping.headings import HeadedRows
from estimator.keeping.supplier_map import PRICED_PER, SupplierMap, headings_in
from estimator.keeping.vocabulary import known_words, our_unit, words_of
from estimator.reading.fields import name_key
from estimator.reading.pack_amounts import parse_amount
from estimator.reading.trade_units import ratio

MOST_TOLD = 4  # words of the column


@dataclass(slots=True)
class UnusedUnits:
    """Watches such columns while a list is read; `words` are theirs by the place of the column."""

    map_: SupplierMap
    found: HeadedRows
    words: dict[int, dict[str, bool]] = field(init=False)  # and whether each is a word for a unit

    def __post_init__(self) -> None:
        """Choose the columns to watch: of lumber and where the map says what prices are per, none."""
        filled = {*self.map_.columns, *self.map_.values}
        watched = self.map_.table != "lumber" and PRICED_PER not in filled
        used = {name_key(heading) for text in self.map_.columns.values() for heading in headings_in(text)}
        places = [place for place, one in enumerate(self.found.headings) if one and name_key(one) not in used]
        self.words = {place: {} for place in places} if watched else {}

    def take(self, cells: Sequence[str]) -> None:
        """Take a row of goods; a column in which other words stand is watched no longer, but for one headed so."""
        for place in list(self.words):
            text, words = cells[place] if place < len(cells) else "", self.words[place]
            if text and text not in words:
                words[text] = self._matters(text, headed=self._is_headed(place))
                if not words[text] and not self._is_headed(place):
                    del self.words[place]

    def _matters(self, text: str, *, headed: bool) -> bool:
        """Whether a price per that is another than the price of a pack or a can; a bare number only where headed so."""
        table = self.map_.table
        ours = our_unit(text, table)
        if ours in ("pack", "each"):
            return ours == "each" and table != "finishes" and self.map_.values.get("pack") != "1"
        return (bool(ours) and not text.isdecimal()) or (
            headed and (ratio(text, "gal") is not None or _is_amount(text))
        )

    def tell(self, findings: Findings) -> None:
        """Note each column that says what prices are per, with the line to add to the map."""
        for place, words in self.words.items():
            some = [word for word, is_unit in words.items() if is_unit]
            if some and (self._is_headed(place) or max(map(len, some)) > 1):  # a lone letter may be anything
                heading = self.found.headings[place]
                told = ", ".join(some[:MOST_TOLD])
                message = (
                    f'{self.found.origin} has "{heading}" ({told}), which prices may be per, and nothing here uses it'
                )
                remedy = f'write per = "{heading}" under [columns], or per = "pack" under [values] for prices of packs'
                findings.fault(self.map_.origin, f"{message}; {remedy}", "columns")

    def _is_headed(self, place: int) -> bool:
        return words_of(self.found.headings[place]) in known_words(self.map_.table, PRICED_PER)


def _is_amount(text: str) -> bool:
    try:
        return parse_amount(text).unit != "pack"
    except ValueError:
        return False
