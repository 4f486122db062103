"""Price lists fetched over the network, with a kept copy of each.

Two storeys. Here requests-cache reads copies and asks whether a list has changed; it knows a list by its address
without secrets. Below, the door puts the secrets in and hands up nothing but the list. So no secret can get into the
kept copies, whatever the library stores. A list takes the place of its former copy only once it has been found sound.
"""

import hashlib
import logging
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from http import HTTPStatus
from pathlib import Path
from typing import TypeVar

from requests import RequestException, Response
from requests_cache import CachedSession
from requests_cache.backends.sqlite import SQLiteCache
from requests_cache.models.response import CachedResponse

from estimator.keeping.addresses import ListAddress
from estimator.keeping.door import LIMITS, Door, Limits, NotFetchedError, ServerFailedError, failure

COPIES_FILE = "copies.sqlite"
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)  # when requests-cache takes copies to have expired: it asks each time
Result = TypeVar("Result")


@dataclass(frozen=True, kw_only=True, slots=True)
class Fetched:
    """A list as the server sent it, and when the server last said so.

    `instead_of` is why a kept copy takes its place. Where the server was not asked because the copy has not expired,
    `good_until` is when it does. `answer` is what is still to be kept.
    """

    content: bytes
    as_of: datetime
    instead_of: str = ""
    good_until: datetime | None = None
    answer: Response | None = field(default=None, repr=False, compare=False)


def copies_of(tables: Path, cache: Path) -> Path:
    """Return the folder in the user's cache for the copies of one shop, so that no shop takes another's away."""
    return cache / hashlib.sha256(str(tables.resolve()).encode()).hexdigest()[:16]


def fetch(source: ListAddress, folder: Path, *, offline: bool = False, limits: Limits = LIMITS) -> Fetched:
    """Return a list from its address, or its copy kept in the folder; raises NotFetchedError where there is neither."""
    return _with_copies(folder, lambda: _fetch(source, folder, offline=offline, limits=limits))


def keep(fetched: Fetched, source: ListAddress, folder: Path) -> None:
    """Keep a list that has been found sound in place of its former copy; one that may not be kept leaves none."""
    answer = fetched.answer
    if answer is None:
        return

    def save() -> None:
        key = _key(source)
        with closing(_copies(folder)) as copies:
            if _may_be_kept(source, answer):
                copies.save_response(answer, key, expires=LONG_AGO)
            else:
                copies.delete(key)

    _with_copies(folder, save)


def forget_all_but(sources: Iterable[ListAddress], folder: Path) -> None:
    """Take the copies of all other lists away: what a shop no longer names it would never ask for again."""

    def delete() -> None:
        with closing(_copies(folder)) as copies:
            others = set(copies.responses) - set(map(_key, sources))
            if others:
                copies.delete(*sorted(others))
                # Else they stay in the file until others take their place.
                copies.responses.vacuum()  # type: ignore[no-untyped-call]

    if (folder / COPIES_FILE).exists():
        _with_copies(folder, delete)


def _fetch(source: ListAddress, folder: Path, *, offline: bool, limits: Limits) -> Fetched:
    key = _key(source)
    with _session(source, key, folder, limits) as session:
        copy = session.cache.get_response(key)
        if offline:
            return _kept(copy, "no server was asked; run the command once without --offline")
        if copy is not None and _good_until(source, copy):
            return replace(_kept(copy), good_until=_good_until(source, copy))
        try:
            response = session.get(source.shown, timeout=(limits.connect_s, limits.silence_s))
        except ServerFailedError as reason:
            return _kept(copy, str(reason))
        except RequestException as reason:
            raise failure(reason) from None
        if response.status_code != HTTPStatus.OK:
            raise NotFetchedError("the server says that nothing has changed, though it was not asked; try again later")
        return Fetched(content=response.content, as_of=_fetched_at(response), answer=response)


def _kept(copy: CachedResponse | None, reason: str = "") -> Fetched:
    """Return the kept copy, or raise the reason why it was wanted."""
    if copy is None:
        raise NotFetchedError(f"no copy is kept, and {reason}") from None
    return Fetched(content=copy.content, as_of=_fetched_at(copy), instead_of=reason.partition("; ")[0])


def _good_until(source: ListAddress, copy: CachedResponse) -> datetime | None:
    """Return when a copy expires by what `addresses.toml` says today, None where it has or is of a day to come."""
    fetched = _fetched_at(copy)
    is_good = timedelta(0) <= datetime.now(UTC) - fetched < source.expires_after
    return fetched + source.expires_after if is_good else None


def _fetched_at(response: Response) -> datetime:
    return parsedate_to_datetime(response.headers["Date"])


def _session(source: ListAddress, key: str, folder: Path, limits: Limits) -> CachedSession:
    for library in ("requests_cache", "urllib3"):  # they would print tracebacks and whole addresses
        logging.getLogger(library).setLevel(logging.CRITICAL)
    session = CachedSession(
        backend=_copies(folder),
        read_only=True,  # a list is kept once it has been found sound
        key_fn=lambda *_, **__: key,
    )
    session.auth = lambda request: request  # else names and passwords from a .netrc file are sent along
    session.headers["User-Agent"] = "estimator"
    # Not compressed: a compressed list that breaks off looks whole.
    session.headers["Accept-Encoding"] = "identity"
    for scheme in ("https://", "http://"):
        session.mount(scheme, Door(source, limits))
    return session


def _copies(folder: Path) -> SQLiteCache:
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    # The default serializer runs what is planted in its file.
    return SQLiteCache(str(folder.resolve() / COPIES_FILE), serializer="json")


def _key(source: ListAddress) -> str:
    """Return what a copy is found by: it differs with all of the address, secrets too, and is slow to guess from."""
    return hashlib.pbkdf2_hmac("sha256", source.address.encode(), b"price list", 100_000).hex()


def _may_be_kept(source: ListAddress, response: Response) -> bool:
    """Whether the server allows a copy (RFC 9111, section 5.2.2.5) and does not repeat the secret."""
    held = (response.content, *(value.encode() for value in response.headers.values()))
    forms = [source.secret.encode(encoding) for encoding in ("utf-8", "utf-16-le", "utf-16-be")]
    if source.secret and any(form in one for form in forms for one in held):
        return False
    return "no-store" not in response.headers.get("Cache-Control", "").lower()


def _with_copies(folder: Path, work: Callable[[], Result]) -> Result:
    """Do the work, which keeps copies; raises NotFetchedError where none can be kept."""
    try:
        return _once_more_if_damaged(folder, work)
    except (sqlite3.Error, OSError) as reason:
        said = reason.strerror if isinstance(reason, OSError) else reason
        message = f"copies of lists cannot be kept in {folder} ({said}); see that you may write there"
        raise NotFetchedError(message) from reason


def _once_more_if_damaged(folder: Path, work: Callable[[], Result]) -> Result:
    """Do the work; where the file of copies is damaged, take it away and do the work once more."""
    try:
        return work()
    except sqlite3.OperationalError:
        raise  # it is locked or cannot be opened, which says nothing against the copies in it
    except sqlite3.DatabaseError:
        pass  # not taken away here, for the error still holds it open
    for name in (COPIES_FILE, f"{COPIES_FILE}-journal"):
        (folder / name).unlink(missing_ok=True)
    return work()
