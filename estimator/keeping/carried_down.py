"""What a list writes once for many rows: a species in the first row of its boards only, or alone in a row above them.

Nothing is guessed. A blank cell takes what stands above it where the map says that the column is carried down, and a
row that stands alone means what the map's [groups] say. Whatever else could have been meant is a fault.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from estimator.errors import Findings, Origin
from estimator.keeping.carried_columns import CARRIED, is_larger
from estimator.keeping.supplier_map import GROUP_MARK, SupplierMap
from estimator.reading.fields import name_key


@dataclass(frozen=True, kw_only=True, slots=True)
class _Above:
    """What is carried down: as the list writes it, or as the map does.

    `under` is what the list wrote beside it in larger columns that are not carried down.
    """

    text: str
    of_map: bool = False
    under: Mapping[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class CarriedDown:
    """Reads a list from its top to its end, and keeps what stands above each row."""

    map_: SupplierMap
    above: dict[str, _Above] = field(default_factory=dict)
    doubt: tuple[Origin, str] | None = None  # about a row above, where what is carried down may end

    def take_heading(self, text: str, origin: Origin) -> None:
        """Take a row that stands alone: from here on it holds what the map says of it."""
        columns = self.map_.carried_down
        means = self.map_.groups.get(name_key(text))
        if means is None:
            parts = f"{GROUP_MARK} ".join(columns)
            where = f"under [groups] in {self.map_.path.name}"
            remedy = f'write "{text}" = "{parts}" {where} with what it means, or = "" if nothing'
            left = self.map_.heading_of(columns[0])
            self.doubt = (origin, f'"{text}" stands alone above goods that leave {left} to it; {remedy}')
            return
        for place, (name, part) in enumerate(zip(columns, means, strict=False)):
            if part:
                for below in columns[place:]:  # a grade belongs to the species it stood under
                    self.above.pop(below, None)
                self.above[name] = _Above(text=part, of_map=True)
        if means and means[0]:  # else what stood above goes on in part
            self.doubt = None

    def take_passed_over(self, theirs: Mapping[str, str], origin: Origin) -> None:
        """Take a row of goods that the map skips; rows below it may leave to it what it says."""
        said = [name for name in self.map_.carried_down if theirs.get(name)]
        if said and (not theirs.get("price") or self._unclear(theirs)):
            remedy = f"fill in {self.map_.heading_of(said[0])} in the first row below it"
            self.doubt = (origin, f'is passed over, and goods below it may leave "{theirs[said[0]]}" to it; {remedy}')
        else:
            self._keep(theirs)

    def filled(
        self, theirs: dict[str, str], origin: Origin, findings: Findings
    ) -> tuple[dict[str, str], dict[str, str]]:
        """Return a row of goods with what is carried down to it, and what the map has for it; faults to `findings`."""
        if not self.map_.carried_down:
            return theirs, {}
        blank = [name for name in self.map_.carried_down if not theirs.get(name)]
        if blank and self.doubt:
            findings.fault(*self.doubt)
        self.doubt = None
        for name, changed in self._unclear(theirs):
            remedy = f'fill it in, or take "{name}" out of carried_down in {self.map_.path.name}'
            goes_on = f'so it is unclear whether "{self.above[name].text}" goes on; {remedy}'
            message = f"is blank where {self.map_.heading_of(changed)} changes, {goes_on}"
            findings.fault(origin, message, self.map_.heading_of(name))
        self._keep(theirs)
        taken = {name: self.above[name] for name in blank if name in self.above}
        ours = {name: one.text for name, one in taken.items() if one.of_map}
        carried = {name: one.text for name, one in taken.items() if not one.of_map}
        return {**{name: text for name, text in theirs.items() if name not in ours}, **carried}, ours

    def _unclear(self, theirs: Mapping[str, str]) -> list[tuple[str, str]]:
        """Return the columns that are blank though one before them changes, with that one."""
        changed = ""
        unclear: list[tuple[str, str]] = []
        for name in self.map_.carried_down:
            text = theirs.get(name, "")
            if changed and not text and name in self.above:
                unclear.append((name, changed))
            before = self.above.get(name)
            if text and not changed and (before is None or name_key(before.text) != name_key(text)):
                changed = name
            elif not text and before and (larger := _other_above(before, theirs)):
                unclear.append((name, larger))
        return list({name: (name, larger) for name, larger in reversed(unclear)}.values())[::-1]

    def _written_beside(self, name: str, theirs: Mapping[str, str]) -> dict[str, str]:
        """Return what a row has in columns that are not carried down and larger, as a species is than a grade."""
        table, carried = self.map_.table, self.map_.carried_down
        larger = [one for one in CARRIED[table] if one not in carried and is_larger(table, one, name)]
        return {one: theirs[one] for one in larger if theirs.get(one)}

    def _keep(self, theirs: Mapping[str, str]) -> None:
        for name in self.map_.carried_down:
            if theirs.get(name):
                self.above[name] = _Above(text=theirs[name], under=self._written_beside(name, theirs))


def _other_above(above: _Above, theirs: Mapping[str, str]) -> str:
    """Return the first column in which a row has something else than stood beside what is carried down to it."""
    changed = (one for one, text in above.under.items() if theirs.get(one) and name_key(theirs[one]) != name_key(text))
    return next(changed, "")
