"""TOML settings files: tables of named values with the line of each, unknown names refused."""

import re
import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, nearest
from estimator.reading.lists import decode, shown_path

Known = Mapping[str, tuple[str, ...]]  # table name ("" for the top) -> names allowed in it, any where none is given

LISTS = (
    "address",
    "carried_down",
    "client_address",
    "prefer",
    "quantities",
    "skip",
    "terms",
)  # settings that may hold several values


class Settings:
    """One settings file: its tables, each read as `Fields`, its lists, and the line of every name."""

    def __init__(self, path: Path, findings: Findings) -> None:
        self.origin = Origin(file=shown_path(path))
        self.findings = findings
        self.values: dict[str, Any] = {}
        self._lines: list[str] = []
        try:
            self._lines = re.split(r"\r\n|\r|\n", decode(path.read_bytes()))
            self.values = tomllib.loads("\n".join(self._lines), parse_float=Decimal)
            self.readable = True
        except OSError as reason:
            findings.fault(self.origin, f"cannot be read ({reason.strerror}); put the file there or mend its name")
            self.readable = False
        except UnicodeDecodeError:
            findings.fault(self.origin, "is no plain text; save it from a text editor as UTF-8")
            self.readable = False
        except tomllib.TOMLDecodeError as reason:
            self._fault_of_form(str(reason).replace("Illegal character '\\n'", "A quotation mark is not closed"))
            self.readable = False
        except (ValueError, RecursionError):  # a number of thousands of digits, or lists in lists as deep
            self._fault_of_form("A value is too long")
            self.readable = False

    def _fault_of_form(self, reason: str) -> None:
        """Note that the file is not written as it should be, on the line that the reason names."""
        line = re.search(r"\(at line (\d+)", reason)
        self.findings.fault(
            Origin(file=self.origin.file, line=int(line[1]) if line else None),
            f'is not valid TOML ({reason.split(" (", maxsplit=1)[0]}); write lines like name = "value" or percent = 5',
        )

    def check_names(self, known: Known) -> None:
        """Note every table and name that the program does not know: a misspelt setting must not pass in silence."""
        for name, value in self.values.items():
            if not name or name not in known:
                self._check_value("", name, value, (*known[""], *filter(None, known)))
            else:
                self._check_tables(name, value, known)

    def _check_tables(self, heading: str, value: object, known: Known) -> None:
        """Note what the tables of a heading hold that is not known, and so on in tables headed `[[heading.inner]]`."""
        for table in value if isinstance(value, list) else [value]:
            for name, inner in table.items() if isinstance(table, dict) else ():
                if f"{heading}.{name}" in known:
                    self._check_tables(f"{heading}.{name}", inner, known)
                else:
                    self._check_value(heading, name, inner, known[heading])

    def _check_value(self, table: str, name: str, value: object, known: tuple[str, ...]) -> None:
        """Note a name that is not known, and a list or table where one value is wanted."""
        if known and name not in known:
            remedy = nearest(name, known) or f"; write one of: {', '.join(known)}"
            self.findings.fault(self.at(name, table), f'"{name}" is not a setting{remedy}', column=table)
            return
        values = value if name in LISTS and isinstance(value, list) else [value]
        if any(isinstance(one, dict | list) for one in values):
            self.findings.fault(self.at(name, table), f"holds a list or a table; write {name} = and one value", name)

    def table(self, name: str = "") -> Fields:
        """Return one table's values as texts; the top of the file where no name is given."""
        table = self.values.get(name, {}) if name else self.values
        if isinstance(table, dict):
            return self._fields(name, table, lambda key: self._line(name, key), self._line(name, None))
        self.findings.fault(self.at(name), f'"{table}" is not a table; write its settings under [{name}]', column=name)
        return Fields(texts={}, origin=self.origin, findings=Findings())

    def tables(self, name: str) -> tuple[Fields, ...]:
        """Return the tables headed [[name]], in order; `outer.inner` names those that belong to a table."""
        outer, _, inner = name.rpartition(".")
        holder = self.values.get(outer, {}) if outer else self.values
        found = holder.get(inner, []) if isinstance(holder, dict) else []
        if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
            origin = Origin(file=self.origin.file, line=self._line(outer, inner) or self._line(name, None))
            self.findings.fault(origin, f"is not a list of tables; head each with [[{name}]]", column=inner)
            return ()
        starts = [n for n, line in enumerate(self._lines, 1) if line.strip().startswith(f"[[{name}]]")]
        return tuple(
            self._fields(f"[{name}]", table, partial(self._line_after, start), start)
            for table, start in zip(found, [*starts, *[None] * len(found)], strict=False)
        )

    def texts(self, table: str, name: str) -> tuple[str, ...]:
        """Return a list of texts; a single text counts as a list of one, a missing one as an empty list."""
        holder = self.values.get(table, {}) if table else self.values
        value = holder.get(name, []) if isinstance(holder, dict) else []
        return tuple(
            self._fields(table, {name: one}, lambda _: self._line(table, name), None).text(name, blank="")
            for one in (value if isinstance(value, list) else [value])
        )

    def at(self, name: str, table: str = "") -> Origin:
        """Return where a name stands: a value in a table, or the heading of a table."""
        return Origin(file=self.origin.file, line=self._line(table, name) or self._line(name, None))

    def _fields(
        self, heading: str, table: Mapping[str, Any], line_of: Callable[[str], int | None], start: int | None
    ) -> Fields:
        plain = {name: value for name, value in table.items() if not isinstance(value, dict | list)}
        lines = {name: line for name in plain if (line := line_of(name)) is not None}
        return Fields(
            texts={name: str(value).strip() for name, value in plain.items()},
            origin=Origin(file=self.origin.file, line=start),
            findings=self.findings if self.readable else Findings(),  # its one fault is enough
            lines=lines,
            table=heading,
        )

    def _line(self, table: str, name: str | None) -> int | None:
        """Return the line of a name in a table, or of the table's heading; None where it is not written."""
        current = ""
        for number, line in enumerate(self._lines, 1):
            heading = re.match(r"\s*\[+\s*([\w.-]+)\s*\]+", line)
            if heading:
                current = heading[1]
                if name is None and current == table:
                    return number
            elif name is not None and current == table and re.match(rf'\s*"?{re.escape(name)}"?\s*=', line):
                return number
        return None

    def _line_after(self, start: int | None, name: str) -> int | None:
        """Return the first line behind a heading that sets the name."""
        for number, line in enumerate(self._lines[start or 0 :], (start or 0) + 1):
            if line.lstrip().startswith("["):
                return None
            if re.match(rf'\s*"?{re.escape(name)}"?\s*=', line):
                return number
        return None
