"""What the user can mend: faults with file, line, column, the value found and how to mend it.

Anything else that goes wrong is a mistake of the program and keeps its traceback.
"""

from dataclasses import dataclass, field
from pathlib import Path

Texts = tuple[tuple[str, str], ...]  # a text under each of some headings


@dataclass(frozen=True, kw_only=True, slots=True)
class Origin:
    """Where a value stands: a file as the user named it, and its line where there is one."""

    file: str
    line: int | None = None

    def __str__(self) -> str:
        return self.file if self.line is None else f"{self.file}:{self.line}"


@dataclass(frozen=True, kw_only=True, slots=True)
class RowToFill:
    """A row that a price table lacks, with what is known of it: whoever fills in the rest has mended the fault.

    `item` is its name in words, `origin` the row that asks for it, `hint` ` (did you mean "larch"?)` where the table
    has a name like it. `known` stands fast; `proposed` is what most such rows say.
    """

    table: Path
    item: str
    origin: Origin
    known: Texts
    proposed: Texts = ()
    hint: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """One thing to mend: `parts.csv:7: length: "24 1/" is not a length; write 24, 24 1/2 or 610 mm`."""

    origin: Origin
    message: str
    column: str = ""
    rows: tuple[RowToFill, ...] = ()  # that would mend it

    def __str__(self) -> str:
        where = f"{self.origin}: {self.column}" if self.column else str(self.origin)
        return f"{where}: {self.message}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Notice:
    """Something the user should know that stops nothing: an unknown column, a stale price."""

    origin: Origin
    message: str

    def __str__(self) -> str:
        return f"{self.origin}: {self.message}"


class EstimatorError(Exception):
    """All faults found in one run, in the order of the files."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = faults

    @classmethod
    def single(cls, file: str, message: str, remedy: str) -> "EstimatorError":
        """One fault about a whole file."""
        return cls((Fault(origin=Origin(file=file), message=f"{message}; {remedy}"),))


@dataclass(slots=True)
class Findings:
    """Collects the faults and notices of one run, so that all of them are reported together."""

    faults: list[Fault] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)

    def fault(self, origin: Origin, message: str, column: str = "", rows: tuple[RowToFill, ...] = ()) -> None:
        """Note one fault, with the rows that would mend it; reading goes on so that the next one is found too."""
        self.faults.append(Fault(origin=origin, message=_one_line(message), column=column, rows=rows))

    def notice(self, origin: Origin, message: str) -> None:
        """Note something that stops nothing; the same words about the same place are kept once."""
        notice = Notice(origin=origin, message=_one_line(message))
        if notice not in self.notices:
            self.notices.append(notice)

    def raise_faults(self) -> None:
        """Raise EstimatorError if any fault was noted."""
        if self.faults:
            raise EstimatorError(tuple(dict.fromkeys(self.faults)))


def _one_line(message: str) -> str:
    """Return a message whose quoted values, which may hold line breaks, cannot break it."""
    return " ".join(message.split())
