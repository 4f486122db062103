import json
import logging
import os
import sqlite3
import stat
import time
import tracemalloc
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from unittest.mock import Mock

import pytest

from estimator.errors import Origin
from estimator.keeping.addresses import ListAddress
from estimator.keeping.door import Limits, NotFetchedError
from estimator.keeping.fetch import COPIES_FILE, Fetched, copies_of, fetch, forget_all_but, keep
from tests.keeping.list_server import (
    LIST,
    PAGE,
    Answer,
    ListServer,
    breaks_off,
    breaks_off_in_a_chunk,
    bursts,
    drips,
    drips_headers,
    list_server,
    redirects,
    repeats,
    says_nothing,
    sends,
    sends_100_mb,
    sends_after,
    sends_endless_failure,
    sends_version,
)

PATIENT = Limits(content_bytes=1_000_000, backoff_s=0.01)
SHORT = Limits(connect_s=1, silence_s=0.15, whole_s=0.8, content_bytes=1_000_000, retries=1, backoff_s=0.01)
SLOW = (says_nothing, drips, drips_headers, sends_endless_failure)  # answers that only the clock ends
SECRET = "quarter-sawn-7391"  # noqa: S105 - of no server
NEW = LIST.replace(b"14.88", b"15.30")


@pytest.fixture(autouse=True)
def _no_proxies(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if name.lower().endswith("_proxy")]:
        monkeypatch.delenv(name)


@pytest.fixture
def server() -> Iterator[ListServer]:
    with list_server() as server:
        server.answers["/list.csv"] = sends()
        yield server


@pytest.fixture
def other_server() -> Iterator[ListServer]:
    with list_server() as server:
        server.answers["/list.csv"] = sends()
        yield server


@pytest.fixture
def copies(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "price_lists"


def listed(address: str, **settings: object) -> ListAddress:
    values = {"origin": Origin(file="addresses.toml", line=2), "map_path": Path("fernhill.map.toml")}
    return ListAddress(**{**values, "address": address, "allow_http": True, **settings})  # type: ignore[arg-type]


def refusal(source: ListAddress, copies: Path, *, offline: bool = False) -> str:
    with pytest.raises(NotFetchedError) as caught:
        fetch(source, copies, offline=offline, limits=PATIENT)
    return str(caught.value)


def got(source: ListAddress, copies: Path, *, offline: bool = False, limits: Limits = PATIENT) -> Fetched:
    """Fetch a list, find it sound and keep it."""
    fetched = fetch(source, copies, offline=offline, limits=limits)
    keep(fetched, source, copies)
    return fetched


def bytes_on_disk(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())


def test_a_list_is_fetched_as_the_server_sends_it(server: ListServer, copies: Path) -> None:
    fetched = got(listed(server.address()), copies)
    assert fetched.content == LIST
    assert fetched.instead_of == ""
    assert datetime.now(UTC) - fetched.as_of < timedelta(seconds=10)


@pytest.mark.parametrize(
    "body", ["Größe;Preis\n".encode("cp1252"), "Größe;Preis\n".encode("utf-16"), bytes(range(256))]
)
def test_bytes_of_any_encoding_come_through_as_they_are(server: ListServer, copies: Path, body: bytes) -> None:
    server.answers["/list.csv"] = sends(body, Content_Type="text/csv; charset=utf-8")
    assert got(listed(server.address()), copies).content == body
    assert got(listed(server.address()), copies, offline=True).content == body


@pytest.mark.parametrize("version", [{"ETag": '"v1"'}, {"Last_Modified": "Wed, 04 Nov 2026 07:00:00 GMT"}])
def test_a_list_that_has_not_changed_is_not_sent_again(
    server: ListServer, copies: Path, version: dict[str, str]
) -> None:
    server.answers["/list.csv"] = sends_version(LIST, **version)
    source = listed(server.address())
    assert got(source, copies).content == LIST
    assert got(source, copies).content == LIST
    assert len(server.asked) == 2
    assert {"If-None-Match", "If-Modified-Since"} & set(server.asked[1].headers)
    server.answers["/list.csv"] = sends_version(NEW, ETag='"v2"')
    assert got(source, copies).content == NEW
    assert got(source, copies, offline=True).content == NEW


def test_that_nothing_has_changed_is_no_answer_where_no_copy_is_kept(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends(b"", status=304)
    assert "nothing has changed" in refusal(listed(server.address()), copies)


def test_a_list_that_stays_good_is_not_asked_for_again(server: ListServer, copies: Path) -> None:
    source = listed(server.address(), expires_after=timedelta(hours=12))
    first = got(source, copies)
    server.answers["/list.csv"] = sends(NEW)
    second = got(source, copies)
    assert second.content == LIST
    assert abs(second.as_of - first.as_of) <= timedelta(seconds=1)
    assert len(server.asked) == 1


def test_without_a_time_for_which_it_stays_good_it_is_asked_for_each_time(server: ListServer, copies: Path) -> None:
    source = listed(server.address())
    got(source, copies)
    server.answers["/list.csv"] = sends(NEW)
    assert got(source, copies).content == NEW


def test_offline_the_kept_copy_is_used_and_nobody_asked(server: ListServer, copies: Path) -> None:
    source = listed(server.address())
    assert (
        refusal(source, copies, offline=True)
        == "no copy is kept, and no server was asked; run the command once without --offline"
    )
    got(source, copies)
    server.answers["/list.csv"] = sends(NEW)
    kept = got(source, copies, offline=True)
    assert (kept.content, kept.instead_of) == (LIST, "no server was asked")
    assert len(server.asked) == 1


FAILURES: dict[str, tuple[Answer, str]] = {
    "500": (sends(b"", status=500), "the server says 500 Internal Server Error; try again later"),
    "503": (sends(b"", status=503), "the server says 503 Service Unavailable; try again later"),
    "429": (sends(b"", status=429), "the server says 429 Too Many Requests; try again later"),
    "599": (sends(b"", status=599), "the server says 599; try again later"),
    "time-out": (says_nothing, "the server does not answer; try again later"),
    "drip": (drips, "it did not come within 0.8 s; try again later"),
    "drip of headers": (drips_headers, "it did not come within 0.8 s; try again later"),
    "endless failure": (sends_endless_failure, "it did not come within 0.8 s; try again later"),
    "nonsense": (
        sends(b"", status=503, Retry_After="soon"),
        "the server's answer cannot be understood; try again later",
    ),
    "truncated": (breaks_off, "the list broke off on its way; try again"),
    "truncated chunk": (breaks_off_in_a_chunk, "the list broke off on its way; try again"),
    "no gzip": (sends(LIST, Content_Encoding="gzip"), "the list broke off on its way; try again"),
}
REFUSALS: dict[str, tuple[Answer, str]] = {
    "404": (sends(b"", status=404), "the server says 404 Not Found; look for the list's new address"),
    "410": (sends(b"", status=410), "the server says 410 Gone; look for the list's new address"),
    "403": (sends(b"", status=403), "the server says 403 Forbidden; look whether header and secret are right"),
    "204": (sends(b"", status=204), "the server says 204 No Content; look for the list's new address"),
    "part": (sends(LIST, status=206), "the server says 206 Partial Content; look for the list's new address"),
    "sign-in page": (sends(PAGE, Content_Type="text/csv"), "it is a page and no list"),
    "empty": (sends(b" \r\n"), "it is empty"),
    "gzip bomb": (bursts, "it is longer than 1 MB"),
    "100 MB": (sends_100_mb, "it is longer than 1 MB"),
    "redirect to a file": (redirects("file:///etc/hostname"), "the server sends on to where no list is fetched from"),
    "redirect to nowhere": (redirects("https:///x"), "the server sends on to where no list is fetched from"),
    "redirect to no port": (redirects("http://[::1"), "the server sends on to where no list is fetched from"),
    "redirect loop": (redirects("/list.csv"), "the server sends on and on"),
}


@pytest.mark.parametrize(("answer", "message"), FAILURES.values(), ids=FAILURES)
def test_where_the_server_fails_the_kept_copy_stands_in(
    server: ListServer, copies: Path, answer: Answer, message: str
) -> None:
    server.answers["/list.csv"] = answer
    source = listed(server.address())
    if message.startswith("the server says 5"):
        assert refusal(source, copies) == f"no copy is kept, and {message}"
    server.answers["/list.csv"] = sends()
    first = got(source, copies)
    server.answers["/list.csv"] = answer
    started = time.monotonic()
    kept = got(source, copies, limits=SHORT if answer in SLOW else PATIENT)
    assert time.monotonic() - started < 5
    assert (kept.content, kept.as_of, kept.instead_of) == (LIST, first.as_of, message.partition("; ")[0])


@pytest.mark.parametrize(("answer", "message"), REFUSALS.values(), ids=REFUSALS)
def test_what_is_no_list_is_refused_and_leaves_the_kept_copy(
    server: ListServer, copies: Path, answer: Answer, message: str
) -> None:
    source = listed(server.address())
    got(source, copies)
    server.answers["/list.csv"] = answer
    assert refusal(source, copies).startswith(message)
    assert got(source, copies, offline=True).content == LIST


def test_a_server_that_is_not_there_is_said_to_be_so(server: ListServer, copies: Path) -> None:
    source = listed(server.address())
    server.server_close()
    assert refusal(source, copies).startswith(
        "no copy is kept, and the server cannot be reached; look whether you are online"
    )


@pytest.mark.parametrize("host", ["*.example", "a" * 64 + ".example"])
def test_an_address_that_names_no_server_is_refused(copies: Path, host: str) -> None:
    assert refusal(listed(f"https://{host}/oak.csv"), copies).startswith("no server can be named so; copy the address")


def test_a_list_of_100_mb_is_never_held(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends_100_mb
    tracemalloc.start()
    try:
        refusal(listed(server.address()), copies)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert most < 10_000_000


def test_a_busy_server_is_asked_again(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends_after(2, sends())
    assert got(listed(server.address()), copies).content == LIST
    assert len(server.asked) == 3
    server.answers["/list.csv"] = sends_after(3, sends())
    assert got(listed(server.address()), copies).instead_of.startswith("the server says 503")
    assert len(server.asked) == 6


def test_a_server_that_asks_for_time_gets_it_up_to_a_limit(server: ListServer, copies: Path) -> None:
    limits = Limits(backoff_s=0, retry_wait_s=1)
    server.answers["/list.csv"] = sends_after(1, sends(), Retry_After="3600")
    started = time.monotonic()
    assert fetch(listed(server.address()), copies, limits=limits).content == LIST
    assert 0.9 < time.monotonic() - started < 5


def test_redirects_are_followed_three_times(server: ListServer, other_server: ListServer, copies: Path) -> None:
    server.answers |= {"/a": redirects("/b", 301), "/b": redirects("c", 307), "/c": redirects(other_server.address())}
    assert got(listed(server.address("/a")), copies).content == LIST
    assert got(listed(server.address("/a")), copies, offline=True).content == LIST
    server.answers["/z"] = redirects("/a")
    assert refusal(listed(server.address("/z")), copies).startswith("the server sends on and on")


def test_a_redirect_to_http_is_only_followed_where_the_list_allows_it(server: ListServer, copies: Path) -> None:
    server.answers["/a"] = redirects(server.address())
    source = listed(server.address("/a"), allow_http=False)
    assert refusal(source, copies).startswith("the server sends on to where no list is fetched from")
    assert [asked.path for asked in server.asked] == ["/a"]


def test_the_secret_goes_to_its_own_server_only(
    server: ListServer, other_server: ListServer, copies: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    server.answers |= {"/a": redirects("/list.csv"), "/b": redirects(other_server.address())}
    source = listed(server.address("/a"), header="X-Yard-Key", secret=SECRET)
    assert got(source, copies).content == LIST
    assert [asked.headers["X-Yard-Key"] for asked in server.asked] == [SECRET, SECRET]
    away = listed(server.address("/b"), header="X-Yard-Key", secret=SECRET)
    assert refusal(away, copies).startswith("the server sends on to another one, which must not get the secret")
    assert other_server.asked == []
    assert SECRET not in caplog.text


@pytest.mark.parametrize(
    "answer",
    [sends_version(LIST, ETag='"v1"'), sends(b"", status=503), says_nothing, drips, breaks_off],
    ids=["304", "503", "time-out", "drip", "truncated"],
)
def test_no_secret_gets_to_disk_or_into_a_message(
    server: ListServer,
    copies: Path,
    answer: Answer,
    caplog: pytest.LogCaptureFixture,
    capfd: pytest.CaptureFixture[str],
) -> None:
    caplog.set_level(logging.DEBUG)
    address = server.address(f"/list.csv?list=oak&key={SECRET}&sig={SECRET}")
    source = listed(address, header="X-Yard-Key", secret=SECRET)
    got(source, copies)
    server.answers["/list.csv"] = answer
    fetched = got(source, copies, limits=SHORT if answer in SLOW else PATIENT)
    said = [repr(source), source.shown, fetched.instead_of, got(source, copies, offline=True).instead_of]
    assert server.asked[-1].path.count(SECRET) == 2
    assert source.shown == server.address("/list.csv?list=...&key=...&sig=...")
    output = capfd.readouterr()
    held = bytes_on_disk(copies.parent)
    assert SECRET not in "".join([*said, caplog.text, output.out, output.err])
    assert b"X-Yard-Key" not in held
    assert SECRET.encode() not in held
    assert (output.out, output.err) == ("", "")


def test_a_list_that_repeats_the_secret_is_not_kept(server: ListServer, copies: Path) -> None:
    source = listed(server.address(), header="X-Yard-Key", secret=SECRET)
    for repeating in (sends(LIST + SECRET.encode()), sends(LIST, ETag=f'"{SECRET}"')):
        server.answers["/list.csv"] = repeating
        assert got(source, copies).content.startswith(LIST)
        assert SECRET.encode() not in bytes_on_disk(copies)
        assert "no copy is kept" in refusal(source, copies, offline=True)


def test_a_list_that_must_not_be_kept_is_not(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends(LIST, Cache_Control="private, no-store")
    assert got(listed(server.address()), copies).content == LIST
    assert LIST[:20] not in bytes_on_disk(copies)
    assert "no copy is kept" in refusal(listed(server.address()), copies, offline=True)


def test_cookies_are_not_kept(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends(LIST, Set_Cookie="sitting=oak-bench-55")
    got(listed(server.address()), copies)
    got(listed(server.address()), copies)
    assert "Cookie" not in server.asked[1].headers
    assert b"oak-bench-55" not in bytes_on_disk(copies)


def test_names_and_passwords_of_other_programs_are_not_sent(
    server: ListServer, copies: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / ".netrc").write_text("machine 127.0.0.1 login maker password dovetail\n", encoding="utf-8")
    monkeypatch.setenv("NETRC", str(tmp_path / ".netrc"))
    got(listed(server.address()), copies)
    assert "Authorization" not in server.asked[0].headers


def test_lists_that_differ_in_a_secret_only_are_two(server: ListServer, copies: Path) -> None:
    retail, trade = (listed(server.address(f"/list.csv?key={kind}")) for kind in ("retail", "trade"))
    got(retail, copies)
    assert "no copy is kept" in refusal(trade, copies, offline=True)


def test_only_the_user_may_look_into_the_folder_of_copies(server: ListServer, copies: Path) -> None:
    copies.mkdir(parents=True)
    copies.chmod(0o755)
    got(listed(server.address()), copies)
    assert stat.S_IMODE(copies.stat().st_mode) == 0o700


@pytest.mark.parametrize("damage", [b"no file of copies at all", None])
def test_a_damaged_file_of_copies_is_made_anew(server: ListServer, copies: Path, damage: bytes | None) -> None:
    source = listed(server.address(), expires_after=timedelta(hours=1))
    got(source, copies)
    file = copies / COPIES_FILE
    whole = file.read_bytes()
    file.write_bytes(damage or whole[:100] + b"\xff" * (len(whole) - 100))
    assert got(source, copies).content == LIST
    assert len(server.asked) == 2
    assert got(source, copies, offline=True).content == LIST
    assert len(server.asked) == 2


def test_a_damaged_copy_is_fetched_anew(server: ListServer, copies: Path, capfd: pytest.CaptureFixture[str]) -> None:
    source = listed(server.address(), expires_after=timedelta(hours=1))
    got(source, copies)
    connection = sqlite3.connect(copies / COPIES_FILE)
    with connection:
        connection.execute("UPDATE responses SET value = ?", ('{"status_code": 2',))
    connection.close()
    assert "no copy is kept" in refusal(source, copies, offline=True)
    assert got(source, copies).content == LIST
    assert capfd.readouterr().err == ""


def test_copies_are_plain_text_in_which_nothing_can_be_planted_that_runs(server: ListServer, copies: Path) -> None:
    got(listed(server.address()), copies)
    connection = sqlite3.connect(copies / COPIES_FILE)
    ((value,),) = connection.execute("SELECT value FROM responses").fetchall()
    connection.close()
    assert json.loads(value)["status_code"] == 200


def test_copies_that_cannot_be_kept_are_a_refusal(server: ListServer, copies: Path) -> None:
    copies.parent.mkdir()
    copies.write_bytes(b"a file where the folder should be")
    assert refusal(listed(server.address()), copies).startswith(f"copies of lists cannot be kept in {copies} (")


def test_a_list_that_has_not_been_found_sound_is_not_kept(server: ListServer, copies: Path) -> None:
    server.answers["/list.csv"] = sends_version(LIST, ETag='"v1"')
    source = listed(server.address())
    fetch(source, copies, limits=PATIENT)
    assert "no copy is kept" in refusal(source, copies, offline=True)
    got(source, copies)
    server.answers["/list.csv"] = sends_version(LIST[:40], ETag='"v2"')
    assert fetch(source, copies, limits=PATIENT).content == LIST[:40]
    assert got(source, copies, offline=True).content == LIST
    assert fetch(source, copies, limits=PATIENT).content == LIST[:40]
    assert server.asked[-1].headers["If-None-Match"] == '"v1"'


@pytest.mark.parametrize("hours", [0, 1])
def test_the_server_is_asked_by_the_rule_that_holds_today(
    server: ListServer, copies: Path, hours: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = got(listed(server.address(), expires_after=timedelta(hours=12)), copies)
    server.answers["/list.csv"] = sends(NEW)
    later = first.as_of + timedelta(hours=2)
    monkeypatch.setattr("estimator.keeping.fetch.datetime", Mock(wraps=datetime, now=Mock(return_value=later)))
    again = got(listed(server.address(), expires_after=timedelta(hours=3)), copies)
    assert (again.content, again.good_until) == (LIST, first.as_of + timedelta(hours=3))
    shortened = got(listed(server.address(), expires_after=timedelta(hours=hours)), copies)
    assert (shortened.content, shortened.good_until) == (NEW, None)


def test_a_copy_of_a_day_to_come_does_not_stay_good(
    server: ListServer, copies: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = listed(server.address(), expires_after=timedelta(hours=12))
    earlier = got(source, copies).as_of - timedelta(days=30)
    monkeypatch.setattr("estimator.keeping.fetch.datetime", Mock(wraps=datetime, now=Mock(return_value=earlier)))
    monkeypatch.setattr("requests_cache.policy.actions.utcnow", lambda: earlier)
    monkeypatch.setattr("requests_cache.models.response.utcnow", lambda: earlier)
    got(source, copies)
    assert len(server.asked) == 2


def test_what_an_error_of_the_server_repeats_of_a_secret_is_not_told(
    server: ListServer, copies: Path, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    source = listed(server.address(f"/list.csv?key={SECRET}"), header="X-Yard-Key", secret=SECRET)
    said = []
    for status in (204, 404, 500, 599, 999):
        server.answers["/list.csv"] = repeats(SECRET, status=status)
        said.append(refusal(source, copies))
    server.answers["/list.csv"] = redirects(f"file:///{SECRET}")
    said.append(refusal(source, copies))
    output = capfd.readouterr()
    assert SECRET not in "".join([*said, caplog.text, output.out, output.err])
    assert SECRET.encode() not in bytes_on_disk(copies)


def test_copies_of_lists_that_are_no_longer_named_are_taken_away(server: ListServer, copies: Path) -> None:
    server.answers |= {f"/{name}.csv": sends(LIST + name.encode()) for name in ("elm", "ash")}
    oak, elm, ash = (listed(server.address(path)) for path in ("/list.csv", "/elm.csv", "/ash.csv"))
    for source in (oak, elm, ash):
        got(source, copies)
    forget_all_but([oak, elm], copies)
    assert got(oak, copies, offline=True).content == LIST
    assert got(elm, copies, offline=True).content.endswith(b"elm")
    assert "no copy is kept" in refusal(ash, copies, offline=True)
    forget_all_but([], copies)
    assert "no copy is kept" in refusal(oak, copies, offline=True)


def test_where_there_are_no_copies_none_are_taken_away(copies: Path) -> None:
    forget_all_but([], copies)
    assert not copies.exists()


def test_the_copies_of_each_shop_lie_in_a_folder_of_their_own(tmp_path: Path) -> None:
    one, other = (copies_of(tmp_path / name / "price_tables", tmp_path) for name in ("here", "there"))
    assert one != other
    assert one.parent == other.parent == tmp_path
    assert copies_of(tmp_path / "there" / ".." / "here" / "price_tables", tmp_path) == one
