"""Price lists fetched over the network, with a kept copy of each. The only module that knows the network libraries.

Two storeys. Above, requests-cache keeps copies and asks whether a list has changed; it knows a list by its address
without secrets. Below, the door puts the secrets in, follows redirects and reads the answer within limits, and hands up
nothing but the list. So no secret can get into the kept copies, whatever the library stores.
"""

import hashlib
import logging
import sqlite3
import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime, parsedate_to_datetime
from http import HTTPStatus
from io import BytesIO
from pathlib import Path
from threading import Thread
from typing import Any, TypeVar
from urllib.parse import SplitResult, urljoin

from requests import PreparedRequest, RequestException, Response, Timeout
from requests.adapters import HTTPAdapter
from requests.exceptions import InvalidURL, SSLError
from requests_cache import CachedSession
from urllib3 import HTTPResponse, Retry
from urllib3.exceptions import DecodeError, HTTPError, LocationValueError, NewConnectionError, ProtocolError
from urllib3.exceptions import TimeoutError as NoAnswerError

from estimator.keeping.addresses import ListAddress, split_address

COPIES_FILE = "copies.sqlite"
PASSING = (429, 500, 502, 503, 504)  # too many requests, and what a busy or restarting server says (RFC 9110, RFC 6585)
AT_ONCE = timedelta(milliseconds=1)  # with 0, requests-cache keeps no copy where the server names no version of it
Result = TypeVar("Result")


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """What is waited for and taken in at most; common sense, no source."""

    connect_s: float = 10
    silence_s: float = 20
    whole_s: float = 180
    content_bytes: int = 20_000_000  # some 300,000 rows of CSV
    redirects: int = 3
    retries: int = 2
    backoff_s: float = 0.5  # twice that before the second retry
    retry_wait_s: int = 30


LIMITS = Limits()


@dataclass(frozen=True, kw_only=True, slots=True)
class Fetched:
    """A list as the server sent it, and when the server last said so; `instead_of` is why a kept copy stands in."""

    content: bytes
    as_of: datetime
    instead_of: str = ""


class NotFetchedError(Exception):
    """Why a list did not come, and what to do about it."""


class ServerFailedError(NotFetchedError):
    """The server or the line is to blame, and a kept copy will do."""


def fetch(source: ListAddress, folder: Path, *, offline: bool = False, limits: Limits = LIMITS) -> Fetched:
    """Return a list from its address, or its copy kept in the folder; raises NotFetchedError where there is neither."""
    return _with_copies(folder, lambda: _fetch(source, folder, offline=offline, limits=limits))


def forget(source: ListAddress, folder: Path) -> None:
    """Take the kept copy of a list away, so that the server is asked for all of it next time."""

    def delete() -> None:
        key = _key(source)
        with _session(source, key, folder, LIMITS) as session:
            session.cache.delete(key)

    _with_copies(folder, delete)


def _fetch(source: ListAddress, folder: Path, *, offline: bool, limits: Limits) -> Fetched:
    key = _key(source)
    with _session(source, key, folder, limits) as session:
        if offline:
            return _kept(session, key, "no server was asked; run the command once without --offline")
        try:
            response = session.get(source.shown, timeout=(limits.connect_s, limits.silence_s))
        except ServerFailedError as reason:
            return _kept(session, key, str(reason))
        except RequestException as reason:
            raise _failure(reason) from None
        if response.status_code != HTTPStatus.OK:
            raise NotFetchedError("the server says that nothing has changed, though it was not asked; try again later")
        return Fetched(content=response.content, as_of=parsedate_to_datetime(response.headers["Date"]))


def _kept(session: CachedSession, key: str, reason: str) -> Fetched:
    """Return the kept copy, or raise the reason why it was wanted."""
    copy = session.cache.get_response(key)
    if copy is None:
        raise NotFetchedError(f"no copy is kept, and {reason}") from None
    cause = reason.partition("; ")[0]
    return Fetched(content=copy.content, as_of=parsedate_to_datetime(copy.headers["Date"]), instead_of=cause)


def _session(source: ListAddress, key: str, folder: Path, limits: Limits) -> CachedSession:
    for library in ("requests_cache", "urllib3"):  # they would print tracebacks and whole addresses
        logging.getLogger(library).setLevel(logging.CRITICAL)
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    session = CachedSession(
        str(folder.resolve() / COPIES_FILE),
        backend="sqlite",
        serializer="json",  # the default one runs what is planted in its file
        expire_after=source.expires_after or AT_ONCE,
        key_fn=lambda *_, **__: key,
        filter_fn=lambda response: _may_be_kept(source, response),
    )
    session.auth = lambda request: request  # else names and passwords from a .netrc file are sent along
    session.headers["User-Agent"] = "estimator"
    # Not compressed: a compressed list that breaks off looks whole.
    session.headers["Accept-Encoding"] = "identity"
    for scheme in ("https://", "http://"):
        session.mount(scheme, _Door(source, limits))
    return session


def _key(source: ListAddress) -> str:
    """Return what a copy is found by: it differs with all of the address, secrets too, and is slow to guess from."""
    return hashlib.pbkdf2_hmac("sha256", source.address.encode(), b"price list", 100_000).hex()


def _may_be_kept(source: ListAddress, response: Response) -> bool:
    """Whether the server allows a copy (RFC 9111, section 5.2.2.5) and does not repeat the secret."""
    held = (response.content, *(value.encode() for value in response.headers.values()))
    if source.secret and any(source.secret.encode() in one for one in held):
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


class _Door(HTTPAdapter):
    """Asks a server for one list and reads the answer to its end, within limits."""

    def __init__(self, source: ListAddress, limits: Limits) -> None:
        super().__init__(
            max_retries=Retry(
                total=limits.retries,
                status_forcelist=PASSING,
                allowed_methods=["GET"],
                backoff_factor=limits.backoff_s,
                retry_after_max=limits.retry_wait_s,
                raise_on_status=False,
            )
        )
        self._source = source
        self._limits = limits

    def send(self, request: PreparedRequest, *args: Any, **how: Any) -> Response:  # noqa: ANN401 - as the library has it
        """Return the list as the answer to the request, which knows no secret."""
        return self.build_response(request, _within(self._limits.whole_s, lambda: self._ask(request, args, how)))

    def _ask(self, request: PreparedRequest, args: tuple[Any, ...], how: dict[str, Any]) -> HTTPResponse:
        address = self._source.address
        try:
            for _ in range(1 + self._limits.redirects):
                with closing(super().send(self._with_secrets(request, address), *args, **how)) as response:
                    if not response.is_redirect:
                        return self._read(response)
                    address = self._next_address(address, response.headers["Location"])
        except (RequestException, HTTPError, OSError) as reason:
            raise _failure(reason) from None
        raise NotFetchedError("the server sends on and on; copy the address of the list itself from your browser")

    def _with_secrets(self, request: PreparedRequest, address: str) -> PreparedRequest:
        whole = request.copy()
        whole.prepare_url(address, None)
        if self._source.header:
            whole.headers[self._source.header] = self._source.secret
        return whole

    def _next_address(self, address: str, location: str) -> str:
        """Return where a redirect leads, if it may be followed there."""
        try:
            following = urljoin(address, location)
        except ValueError:  # brackets that do not match
            following = ""
        here, there = split_address(address), split_address(following)
        allowed = ("https", "http") if self._source.allow_http else ("https",)
        if here is None or there is None or there.scheme not in allowed:
            raise NotFetchedError("the server sends on to where no list is fetched from; look for another address")
        if self._source.header and _server(here) != _server(there):
            raise NotFetchedError(
                "the server sends on to another one, which must not get the secret; look for another address"
            )
        return following

    def _read(self, response: Response) -> HTTPResponse:
        """Return the answer read to its end; all it holds is the list and what version of it."""
        _check_status(response.status_code)
        content = b"" if response.status_code == HTTPStatus.NOT_MODIFIED else self._content(response)
        kept = {
            name: response.headers[name]
            for name in ("ETag", "Last-Modified", "Cache-Control")
            if name in response.headers
        }
        return HTTPResponse(
            BytesIO(content),
            headers={**kept, "Date": format_datetime(datetime.now(UTC), usegmt=True)},
            status=response.status_code,
            preload_content=False,
        )

    def _content(self, response: Response) -> bytes:
        most = self._limits.content_bytes
        content = bytearray()
        ends = time.monotonic() + self._limits.whole_s
        while chunk := response.raw.read1(65_536, decode_content=True):
            content += chunk
            if time.monotonic() > ends:
                raise ServerFailedError("it comes too slowly; try again later")  # nobody waits for it any longer
            if len(content) > most:
                raise NotFetchedError(f"it is longer than {most / 1e6:g} MB; look for the address of a shorter list")
        if not content.strip():
            raise NotFetchedError("it is empty; look at the address in your browser")
        if content.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
            raise NotFetchedError("it is a page and no list, perhaps one to sign in; look at it in your browser")
        return bytes(content)


def _server(parts: SplitResult) -> tuple[str, str | None, int | None]:
    return parts.scheme, parts.hostname, parts.port


def _within(seconds: float, work: Callable[[], Result]) -> Result:
    """Return what the work returns; raises ServerFailedError after so many seconds.

    Time-outs of sockets cover neither looking up a name nor an answer that comes in drips.
    """
    result: Future[Result] = Future()

    def run() -> None:
        try:
            result.set_result(work())
        except Exception as reason:  # noqa: BLE001 - it is raised again where it is waited for
            result.set_exception(reason)

    Thread(target=run, daemon=True).start()
    try:
        return result.result(seconds)
    except TimeoutError:
        raise ServerFailedError(f"it did not come within {seconds:g} s; try again later") from None


def _check_status(status: int) -> None:
    """Raise the error that an answer means (RFC 9110, section 15)."""
    if status in (HTTPStatus.OK, HTTPStatus.NOT_MODIFIED):
        return
    try:
        said = f"the server says {status} {HTTPStatus(status).phrase}"
    except ValueError:
        said = f"the server says {status}"
    if status in PASSING or status >= HTTPStatus.INTERNAL_SERVER_ERROR:
        raise ServerFailedError(f"{said}; try again later")
    if status in (HTTPStatus.UNAUTHORIZED, HTTPStatus.FORBIDDEN):
        raise NotFetchedError(f"{said}; look whether header and secret are right")
    raise NotFetchedError(f"{said}; look for the list's new address")


def _failure(reason: Exception) -> NotFetchedError:
    """Return what a library's error means, in words of our own: its words hold the whole address."""
    cause = getattr(reason.args[0], "reason", None) if reason.args else None
    refused = isinstance(cause, NewConnectionError)  # which the library counts among the time-outs
    if isinstance(reason, Timeout | NoAnswerError) or (isinstance(cause, NoAnswerError) and not refused):
        return ServerFailedError("the server does not answer; try again later")
    if isinstance(reason, SSLError):
        return ServerFailedError("the server's certificate cannot be trusted; look at the address in your browser")
    if isinstance(reason, ProtocolError | DecodeError):
        return ServerFailedError("the list broke off on its way; try again")
    if isinstance(reason, InvalidURL | LocationValueError):
        return NotFetchedError("no server can be named so; copy the address whole from your browser")
    if isinstance(reason, ValueError):  # a header that is none
        return ServerFailedError("the server's answer cannot be understood; try again later")
    return ServerFailedError("the server cannot be reached; look whether you are online and the address is right")
