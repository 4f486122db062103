"""A real server on this machine that answers as good, poor and hostile servers do."""

import gzip
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from email.message import Message
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from ssl import SSLContext
from threading import Event, Thread
from typing import NamedTuple

Answer = Callable[["Handler"], None]

LIST = b"Timber,Size,Price\nwestern larch,2x4,14.88\nwhite oak,8/4,11.40\n"
PAGE = b"\xef\xbb\xbf\r\n<!DOCTYPE html><html><body><form>Sign in</form></body></html>"


class Asked(NamedTuple):
    """What the server was asked for."""

    path: str
    headers: Message


class Handler(BaseHTTPRequestHandler):
    """Answers as its server was told to for the path."""

    protocol_version = "HTTP/1.1"
    server: "ListServer"

    def do_GET(self) -> None:
        self.close_connection = True
        self.server.asked.append(Asked(self.path, self.headers))
        answer = self.server.answers.get(self.path.partition("?")[0], sends(b"not here", status=404))
        with suppress(OSError):  # the other side hung up
            answer(self)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's name
        """Keep quiet."""

    def begin(self, status: int = 200, headers: dict[str, str] | None = None) -> None:
        self.send_response(status)
        for name, value in (headers or {}).items():
            self.send_header(name, value)
        self.send_header("Connection", "close")  # unsaid, the next question may come while it hangs up
        self.end_headers()

    def pause(self, seconds: float) -> bool:
        """Wait, and say whether anybody still listens."""
        return not self.server.ended.wait(seconds)


class ListServer(ThreadingHTTPServer):
    """A server with an answer for each path, which notes what it was asked for."""

    daemon_threads = True
    block_on_close = False

    def __init__(self, protection: SSLContext | None) -> None:
        super().__init__(("127.0.0.1", 0), Handler)
        self.scheme = "https" if protection else "http"
        if protection:
            self.socket = protection.wrap_socket(self.socket, server_side=True)
        self.answers: dict[str, Answer] = {}
        self.asked: list[Asked] = []
        self.ended = Event()

    def address(self, path: str = "/list.csv") -> str:
        return f"{self.scheme}://127.0.0.1:{self.server_port}{path}"


@contextmanager
def list_server(protection: SSLContext | None = None) -> Iterator[ListServer]:
    """Serve until the test ends, over https where there is a certificate to show."""
    with ListServer(protection) as server:
        thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        try:
            yield server
        finally:
            server.ended.set()
            server.shutdown()
            thread.join()


def sends(body: bytes = LIST, *, status: int = 200, **headers: str) -> Answer:
    def answer(handler: Handler) -> None:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        handler.begin(status, {"Content-Length": str(len(body)), **named})
        handler.wfile.write(body)

    return answer


def sends_version(body: bytes = LIST, **headers: str) -> Answer:
    """Send the body, or 304 to who names the version he has."""

    def answer(handler: Handler) -> None:
        names = {"ETag": "If-None-Match", "Last_Modified": "If-Modified-Since"}
        same = any(handler.headers.get(asked) == headers.get(sent, "") for sent, asked in names.items())
        if same:
            handler.begin(304)
        else:
            sends(body, status=200, **headers)(handler)

    return answer


def repeats(secret: str, *, status: int) -> Answer:
    """Send what a server was asked with wherever an answer has room for it."""

    def answer(handler: Handler) -> None:
        body = f"<p>{secret}</p>".encode()
        handler.send_response(status, secret)
        for name, value in (("Content-Length", str(len(body))), ("X-Asked-With", secret), (secret, "x")):
            handler.send_header(name, value)
        handler.end_headers()
        handler.wfile.write(body)

    return answer


def redirects(to: str, status: int = 302) -> Answer:
    return sends(b"", status=status, Location=to)


def sends_after(failures: int, answer: Answer, *, status: int = 503, **headers: str) -> Answer:
    """Fail so many times first."""
    left = [sends(b"busy", status=status, **headers)] * failures

    def failing(handler: Handler) -> None:
        (left.pop() if left else answer)(handler)

    return failing


def says_nothing(handler: Handler) -> None:
    handler.pause(10)


def drips_headers(handler: Handler) -> None:
    handler.wfile.write(b"HTTP/1.1 200 OK\r\n")
    while handler.pause(0.05):
        handler.wfile.write(b"X: y\r\n"[:1])


def drips(handler: Handler) -> None:
    """Send a list of a kilobyte, a sign every twentieth of a second."""
    handler.begin(headers={"Content-Length": "1000"})
    while handler.pause(0.05):
        handler.wfile.write(b"x")


def breaks_off(handler: Handler) -> None:
    handler.begin(headers={"Content-Length": str(len(LIST) * 2)})
    handler.wfile.write(LIST)


def breaks_off_in_a_chunk(handler: Handler) -> None:
    handler.begin(headers={"Transfer-Encoding": "chunked"})
    handler.wfile.write(b"%x\r\n%s" % (len(LIST) * 2, LIST))


def bursts(handler: Handler) -> None:
    """Send a quarter of a megabyte that unpacks to 256."""
    member = gzip.compress(b"0" * 2**20)
    handler.begin(headers={"Content-Encoding": "gzip", "Transfer-Encoding": "chunked"})
    for _ in range(256):
        handler.wfile.write(b"%x\r\n%s\r\n" % (len(member), member))
    handler.wfile.write(b"0\r\n\r\n")


def sends_100_mb(handler: Handler) -> None:
    handler.begin(headers={"Content-Length": str(100 * 2**20)})
    for _ in range(100 * 16):
        handler.wfile.write(b"western larch,2x4,14.88\n" * 2731)


def sends_endless_failure(handler: Handler) -> None:
    handler.begin(500, {"Transfer-Encoding": "chunked"})
    while handler.pause(0):
        handler.wfile.write(b"10000\r\n%s\r\n" % (b"x" * 0x10000))
        time.sleep(0.001)
