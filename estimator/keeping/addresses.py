"""The addresses that price lists are fetched from: `addresses.toml` beside the price tables."""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from urllib.parse import SplitResult, unquote, unquote_plus, urlsplit

from estimator.errors import Findings, Origin
from estimator.keeping.supplier_map import MAP_ENDING
from estimator.reading.fields import Fields
from estimator.reading.settings import Settings

ADDRESSES_FILE = "addresses.toml"
LONGEST_EXPIRY = timedelta(days=366)  # a slip of the keyboard beyond that; common sense, no source
LEAST_SECRET = 6  # signs; what is shorter may stand in a list by chance, as `oak` does; common sense, no source
_MINUTE, _HOUR, _DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
_UNITS = {"min": _MINUTE, "h": _HOUR, "hour": _HOUR, "hours": _HOUR, "day": _DAY, "days": _DAY}
_KNOWN = {"": ("lists",), "lists": ("address", "map", "allow_http", "header", "secret", "expires_after")}


@dataclass(frozen=True, kw_only=True, slots=True)
class ListAddress:
    """Where one list is fetched from, and which map it goes through.

    The header's value, if any, is a secret, and so may be what stands behind the `?` of the address: messages show
    neither. A copy younger than `expires_after` is used without asking the server.
    """

    origin: Origin
    address: str = field(repr=False)
    map_path: Path
    allow_http: bool = False
    header: str = ""
    secret: str = field(default="", repr=False)
    expires_after: timedelta = timedelta(0)

    @property
    def shown(self) -> str:
        """The address as messages and the kept copies name it."""
        return shown_address(self.address)

    def hushed(self, text: str) -> str:
        """Return a text about the list without the secret or a value behind the `?`, which a server may repeat."""
        for one in sorted(filter(None, {self.secret, *_values(self.address)}), key=len, reverse=True):
            text = text.replace(one, "...")
        return text

    def is_given_away(self, text: str) -> bool:
        """Whether a text of the list repeats the secret, and hardly by chance."""
        return len(self.secret) >= LEAST_SECRET and self.secret in text


def shown_address(address: str) -> str:
    """Return an address without what may be secret: each value behind the `?`, a name or password before an @."""
    if "@" in address:
        return "..."
    place, mark, query = address.partition("#")[0].partition("?")
    place = re.sub(r"=[^/]*", "=...", place)
    parts = [part.partition("=") for part in query.split("&")] if query else []
    return f"{place}{mark}{'&'.join(f'{name}=...' if equals else '...' for name, equals, _ in parts)}"


def _values(address: str) -> set[str]:
    """Return what stands behind the `?` of an address, as written and as meant, but for what is too short to hide."""
    values = {part.partition("=")[2] or part for part in address.partition("#")[0].partition("?")[2].split("&")}
    return {one for one in values | set(map(unquote_plus, values)) if len(one) >= LEAST_SECRET}


def list_file_name(address: str, content: bytes) -> str:
    """Return the name that a fetched list has where a row says what it was taken from: `prices.example/oak.csv`.

    The server is part of it, for the shop may have a table of its own under the name of the file.
    """
    parts = urlsplit(address)
    name = unquote(parts.path).rpartition("/")[2]
    name = re.sub(r"[^\w.-]+", "_", name).strip("._-") or "list"
    ending = ".xlsx" if content.startswith(b"PK\x03\x04") else ".csv"
    return f"{parts.hostname}/{name if name.lower().endswith(('.csv', '.xlsx', '.txt')) else name + ending}"


def read_addresses(tables: Path, environment: Mapping[str, str] | None, findings: Findings) -> tuple[ListAddress, ...]:
    """Return the lists that `addresses.toml` names, in its order; faults go to `findings`.

    Secrets are taken from the environment; where none is given, no server will be asked and none is needed.
    """
    settings = Settings(tables / ADDRESSES_FILE, findings)
    settings.check_names(_KNOWN)
    rows = settings.tables("lists")
    if not rows and settings.readable and "lists" not in settings.values:
        findings.fault(settings.origin, 'names no lists; write [[lists]] with address = "https://..." and map = "..."')
    lists = tuple(_read_list(row, tables, environment) for row in rows)
    _check_maps_differ(rows)
    return lists


def _read_list(row: Fields, tables: Path, environment: Mapping[str, str] | None) -> ListAddress:
    allow_http = row.choice("allow_http", ("false", "true"), blank="false") == "true"
    return ListAddress(
        origin=Origin(file=row.origin.file, line=(row.lines or {}).get("address", row.origin.line)),
        address=_address(row, allow_http=allow_http),
        map_path=tables / _map_name(row, tables),
        allow_http=allow_http,
        header=_header(row),
        secret=_secret(row, environment),
        expires_after=row.read("expires_after", _duration, timedelta(0), blank=timedelta(0)),
    )


def _address(row: Fields, *, allow_http: bool) -> str:
    if not row.has("address"):
        return row.text("address")
    address = row.texts["address"]  # not read as other texts are, for a message about it must not show all of it
    complaint = _complaint(address, allow_http=allow_http)
    if complaint:
        row.fault("address", f'"{shown_address(address)}" {complaint}')
    return address


def _complaint(address: str, *, allow_http: bool) -> str:
    """Return what is wrong with an address and how to mend it, or nothing."""
    parts = split_address(address)
    if parts is None or parts.scheme not in ("https", "http") or not re.fullmatch(r"[!-~]+", address):
        return "is no address of a list; copy it whole from your browser, like https://prices.example/oak.csv"
    if "@" in parts.netloc:
        return "holds a name or a password; take it out, and write header = and secret ="
    if parts.scheme == "http" and not allow_http:
        return (
            "is not protected on its way here; write it with https, or allow_http = true if the supplier has no other"
        )
    return ""


def split_address(address: str) -> SplitResult | None:
    """Return the parts of an address that names a server, or None."""
    try:
        parts = urlsplit(address)
        named = parts.hostname and parts.port != 0
    except ValueError:  # brackets or a port that cannot be
        return None
    return parts if named else None


def _map_name(row: Fields, tables: Path) -> str:
    def parse(text: str) -> str:
        if Path(text).name != text or not text.endswith(MAP_ENDING):
            raise ValueError(f'"{text}" is no name of a map; write the name of one beside this file, NAME{MAP_ENDING}')
        if not os.path.isfile(tables / text):  # noqa: PTH113 - Path raises where a name is too long for a file
            raise ValueError(f'"{text}" is not there; put the map beside this file, or mend its name')
        return text

    return row.read("map", parse, "")


def _header(row: Fields) -> str:
    """Return the name of the header that holds the secret (RFC 9110, section 5.1: a token); blank where there is none.

    A value out of place may be the secret itself, so no message shows it.
    """
    header = row.texts.get("header", "")
    if header and not re.fullmatch(r"[A-Za-z0-9!#$%&'*+.^_`|~-]+", header):
        row.fault(
            "header", 'is no name of a header; write it as your supplier does, like "X-Api-Key", without its value'
        )
    if bool(header) != row.has("secret"):
        there, missing = ("header", "secret") if header else ("secret", "header")
        row.fault(there, f"stands alone; write {missing} = too, or take it out")
    return header


def _secret(row: Fields, environment: Mapping[str, str] | None) -> str:
    """Return the value of the environment variable that is named."""
    if environment is None or not row.has("secret"):
        return ""
    value = environment.get(row.texts["secret"], "").strip()
    if not value:
        row.fault("secret", "names an environment variable that is not set; set it to the header's value first")
    elif not re.fullmatch(r"[ -~]+", value):
        row.fault(
            "secret", "names an environment variable with signs that no header can hold; set it to the value as given"
        )
    return value


def _duration(text: str) -> timedelta:
    found = re.fullmatch(r"(\d{1,6}) ?(\w+)", text)
    unit = _UNITS.get(found[2]) if found else None
    if not found or unit is None or not timedelta(0) < int(found[1]) * unit <= LONGEST_EXPIRY:
        raise ValueError(f'"{text}" is no time for which a list stays good; write "30 min", "12 h" or "7 days"')
    return int(found[1]) * unit


def _check_maps_differ(rows: tuple[Fields, ...]) -> None:
    """Note a map that two lists go through: the second would take the place of what the first brought."""
    seen = set()
    for row in rows:
        name = row.texts.get("map", "").casefold()
        if name and name in seen:
            row.fault("map", f'"{row.texts["map"]}" is the map of a list above too; make a map for each list')
        seen.add(name)
