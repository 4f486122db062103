"""The door to the network: asks a server for one list, puts secrets in, follows redirects, reads within limits.

It hands up nothing but the list and what version of it the server names, so that no secret gets past it.
"""

import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import format_datetime
from http import HTTPStatus
from io import BytesIO
from ssl import CertificateError, SSLCertVerificationError
from threading import Thread
from typing import Any, TypeVar
from urllib.parse import SplitResult, urljoin

from requests import PreparedRequest, RequestException, Response, Timeout
from requests.adapters import HTTPAdapter
from requests.exceptions import InvalidURL, SSLError
from urllib3 import HTTPResponse, Retry
from urllib3.exceptions import DecodeError, HTTPError, LocationValueError, NewConnectionError, ProtocolError
from urllib3.exceptions import TimeoutError as NoAnswerError

from estimator.keeping.addresses import ListAddress, split_address

PASSING = (429, 500, 502, 503, 504)  # too many requests, and what a busy or restarting server says (RFC 9110, RFC 6585)
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


class NotFetchedError(Exception):
    """Why a list did not come, and what to do about it."""


class ServerFailedError(NotFetchedError):
    """The server or the line is to blame, and a kept copy will do."""


class Door(HTTPAdapter):
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
            raise failure(reason) from None
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


def failure(reason: Exception) -> NotFetchedError:
    """Return what a library's error means, in words of our own: its words hold the whole address."""
    cause = getattr(reason.args[0], "reason", None) if reason.args else None
    refused = isinstance(cause, NewConnectionError)  # which the library counts among the time-outs
    if isinstance(reason, Timeout | NoAnswerError) or (isinstance(cause, NoAnswerError) and not refused):
        return ServerFailedError("the server does not answer; try again later")
    if isinstance(reason, SSLError):
        return _no_protected_line(cause)
    if type(reason) is OSError:  # all others come wrapped
        return NotFetchedError("no list of trusted certificates is where REQUESTS_CA_BUNDLE points; mend or unset it")
    if isinstance(reason, ProtocolError | DecodeError):
        return ServerFailedError("the list broke off on its way; try again")
    if isinstance(reason, InvalidURL | LocationValueError):
        return NotFetchedError("no server can be named so; copy the address whole from your browser")
    if isinstance(reason, ValueError):  # a header that is none
        return ServerFailedError("the server's answer cannot be understood; try again later")
    return ServerFailedError("the server cannot be reached; look whether you are online and the address is right")


def _no_protected_line(cause: object) -> NotFetchedError:
    """Return what it means that a server could not show who it is. No kept copy hides that, and nothing goes round it.

    The numbers are OpenSSL's (x509_vfy.h); from memory.
    """
    found = cause.args[0] if isinstance(cause, HTTPError) and cause.args else None
    if not isinstance(found, SSLCertVerificationError | CertificateError):
        return ServerFailedError("no protected line to the server can be made; look at the address in your browser")
    danger = "so another could be answering in its place"
    match getattr(found, "verify_code", 62):
        case 9 | 10:
            remedy = "see that this computer's date is right, and tell your supplier"
            return NotFetchedError(f"the server's certificate is not good today, {danger}; {remedy}")
        case 62 | 64:
            remedy = "look whether the address is right, and ask your supplier"
            return NotFetchedError(f"the server's certificate is made out to another server, {danger}; {remedy}")
        case _:
            remedy = "look at the address in your browser, and ask your supplier"
            return NotFetchedError(f"nobody whom this computer trusts vouches for the server, {danger}; {remedy}")
