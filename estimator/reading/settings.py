"""TOML settings files: tables of named values with the line of each, unknown names refused."""

import re
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from estimator.errors import Findings, Origin
from estimator.reading.fields import Fields, nearest
from estimator.reading.lists import shown_path

Known = Mapping[str, tuple[str, ...]]  # table name ("" for the top) -> names allowed in it


class Settings:
    """One settings file: its tables, each read as `Fields`, its lists, and the line of every name."""

    def __init__(self, path: Path, findings: Findings) -> None:
        self.origin = Origin(file=shown_path(path))
        self.findings = findings
        self.values: dict[str, Any] = {}
        self._source = ""
        try:
            self._source = path.read_text(encoding="utf-8-sig")
            self.values = tomllib.loads(self._source, parse_float=Decimal)
            self.readable = True
        except OSError as reason:
            findings.fault(self.origin, f"cannot be read ({reason.strerror}); put the file there or mend its name")
            self.readable = False
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as reason:
            where = re.search(r"\(at line (\d+)", str(reason))
            line = int(where[1]) if where else None
            findings.fault(
                Origin(file=self.origin.file, line=line),
                f'is not valid TOML here ({reason}); write a line like name = "value"',
            )
            self.readable = False

    def check_names(self, known: Known) -> None:
        """Note every table and name that the program does not know: a misspelt setting must not pass in silence."""
        for name, value in self.values.items():
            if isinstance(value, dict) and name in known:
                for inner in value:
                    if known[name] and inner not in known[name]:
                        self._unknown(name, inner, known[name])
            elif name not in known.get("", ()) and name not in known:
                self._unknown("", name, (*known.get("", ()), *filter(None, known)))

    def table(self, name: str = "") -> Fields:
        """Return one table's values as texts; the top of the file where no name is given."""
        table = self.values.get(name, {}) if name else self.values
        if not isinstance(table, dict):
            self.findings.fault(self.at(name), f"is a value; write it as a table headed [{name}]", column=name)
            table = {}
        return self._fields(table, lambda key: self._line(name, key), self._line(name, None))

    def tables(self, name: str) -> tuple[Fields, ...]:
        """Return the tables headed [[name]], in order."""
        found = self.values.get(name, [])
        if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
            self.findings.fault(self.at(name), f"is not a list of tables; head each with [[{name}]]", column=name)
            return ()
        starts = [n for n, line in enumerate(self._source.splitlines(), 1) if line.strip().startswith(f"[[{name}]]")]
        return tuple(
            self._fields(table, lambda key, start=start: self._line_after(start, key), start)
            for table, start in zip(found, [*starts, *[None] * len(found)], strict=False)
        )

    def texts(self, table: str, name: str) -> tuple[str, ...]:
        """Return a list of texts; a single text counts as a list of one, a missing one as an empty list."""
        holder = self.values.get(table, {}) if table else self.values
        value = holder.get(name, []) if isinstance(holder, dict) else []
        return tuple(str(one) for one in (value if isinstance(value, list) else [value]))

    def at(self, name: str, table: str = "") -> Origin:
        """Return where a name stands."""
        return Origin(file=self.origin.file, line=self._line(table, name))

    def _unknown(self, table: str, name: str, known: tuple[str, ...]) -> None:
        self.findings.fault(self.at(name, table), f'"{name}" is not a setting{nearest(name, known)}', column=table)

    def _fields(self, table: Mapping[str, Any], line_of: Any, start: int | None) -> Fields:  # noqa: ANN401 - a callable
        plain = {name: value for name, value in table.items() if not isinstance(value, dict | list)}
        lines = {name: line for name in plain if (line := line_of(name)) is not None}
        return Fields(
            texts={name: str(value).strip() for name, value in plain.items()},
            origin=Origin(file=self.origin.file, line=start),
            findings=self.findings,
            lines=lines,
        )

    def _line(self, table: str, name: str | None) -> int | None:
        """Return the line of a name in a table, or of the table's heading; None where it is not written."""
        current = ""
        for number, line in enumerate(self._source.splitlines(), 1):
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
        lines = self._source.splitlines()
        for number in range(start or 0, len(lines)):
            if lines[number].lstrip().startswith("["):
                return None
            if re.match(rf'\s*"?{re.escape(name)}"?\s*=', lines[number]):
                return number + 1
        return None
