import csv
import io
import os
import re
import shutil
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from estimator.cli.main import run
from estimator.cli.prices_refresh import Outcome, refresh
from estimator.keeping.door import Limits
from estimator.reading.order import read_order
from tests.keeping.list_server import (
    PAGE,
    Answer,
    ListServer,
    breaks_off,
    bursts,
    drips,
    list_server,
    redirects,
    says_nothing,
    sends,
    sends_100_mb,
    sends_after,
    sends_version,
)

SOUND_ORDER = Path(__file__).parents[1] / "broken" / "_good"
PATIENT = Limits(content_bytes=1_000_000, backoff_s=0.01)
SHORT = Limits(connect_s=1, silence_s=0.15, whole_s=0.8, content_bytes=1_000_000, retries=1, backoff_s=0.01)
SECRET = "quarter-sawn-7391"  # noqa: S105 - of no server
MAP = """supplier = "{supplier}"
table = "lumber"

[columns]
species = "Timber"
section = "Size"
length = "Length"
price = "Price"

[values]
per = "each"
"""
OLD = b"""Timber,Size,Length,Price
black walnut,1x4,8 ft,30.00
black walnut,1x6,8 ft,44.00
black walnut,2x4,8 ft,58.00
black walnut,2x6,8 ft,90.00
"""
NEW = OLD.replace(b"30.00", b"31.00").replace(b"44.00", b"43.00").replace(b"2x6", b"2x8")
ODD = "Timber;Size;Length;Price\nNoyer d\u2019été;1x4;8 ft;30,00\n"
Refresh = Callable[..., tuple[Outcome, ...]]


@pytest.fixture
def server() -> Iterator[ListServer]:
    with list_server() as server:
        server.answers["/oak.csv"] = sends(OLD)
        yield server


@pytest.fixture
def shop(tmp_path: Path, server: ListServer, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a shop with one list to fetch, in which one stands."""
    folder = tmp_path / "shop"
    shutil.copytree(SOUND_ORDER, folder)
    add_list(folder, "fernhill", server.address("/oak.csv"))
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    for name in [name for name in os.environ if name.lower().endswith("_proxy")]:
        monkeypatch.delenv(name)
    return folder


@pytest.fixture
def refreshed(shop: Path, tmp_path: Path) -> Refresh:
    def refreshed(*, offline: bool = False, yes: bool = True, limits: Limits = PATIENT) -> tuple[Outcome, ...]:
        copies = tmp_path / "cache" / "price_lists"
        return refresh(shop, copies, offline=offline, yes=yes, jumps=False, limits=limits)

    return refreshed


def add_list(shop: Path, name: str, address: str, more: str = "") -> None:
    tables = shop / "price_tables"
    (tables / f"{name}.map.toml").write_text(MAP.format(supplier=name.capitalize()), encoding="utf-8")
    with (tables / "addresses.toml").open("a", encoding="utf-8") as file:
        file.write(f'[[lists]]\naddress = "{address}"\nmap = "{name}.map.toml"\nallow_http = true\n{more}\n')


def tables(shop: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (shop / "price_tables").iterdir()}


def prices(shop: Path, name: str = "fernhill") -> list[str]:
    text = (shop / "price_tables" / f"lumber-{name}.csv").read_text(encoding="utf-8-sig")
    return [row["price"] for row in csv.DictReader(io.StringIO(text))]


def test_a_list_is_fetched_and_taken_over(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    (outcome,) = refreshed()
    assert (outcome.words, outcome.failed) == ("4 new; written", False)
    assert [float(price) for price in prices(shop)] == [30, 44, 58, 90]
    server.answers["/oak.csv"] = sends(NEW)
    (outcome,) = refreshed()
    assert outcome.words == "1 new, 1 gone, 1 dearer, 1 cheaper; written"
    assert [float(price) for price in prices(shop)] == [31, 43, 58, 90]
    printed = capsys.readouterr()
    assert "Fernhill: lumber\n----------------" in printed.out
    assert "+3.3 %" in printed.out
    assert printed.err == ""
    assert "127.0.0.1/oak.csv:2" in (shop / "price_tables" / "lumber-fernhill.csv").read_text(encoding="utf-8-sig")
    assert {row.species for row in read_order(shop, today=date(2026, 11, 24)).prices.lumber} >= {"black walnut"}


def test_without_a_terminal_nothing_is_written_unless_told_to(
    shop: Path, refreshed: Refresh, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    before = tables(shop)
    (outcome,) = refreshed(yes=False)
    assert (outcome.words, outcome.failed) == ("4 new; not written", False)
    assert "Not written: price_tables/lumber-fernhill.csv\nWith --yes it is." in capsys.readouterr().out
    assert tables(shop) == before


@pytest.mark.parametrize("answer", ["y\n", "n\n", "\n"])
def test_on_a_terminal_it_asks_first(
    shop: Path, refreshed: Refresh, monkeypatch: pytest.MonkeyPatch, answer: str
) -> None:
    terminal = io.StringIO(answer)
    monkeypatch.setattr(terminal, "isatty", lambda: True)
    monkeypatch.setattr(sys, "stdin", terminal)
    before = tables(shop)
    refreshed(yes=False)
    assert (tables(shop) != before) == answer.startswith("y")


def test_a_list_that_has_not_changed_stays_as_it_is(shop: Path, server: ListServer, refreshed: Refresh) -> None:
    server.answers["/oak.csv"] = sends_version(OLD, ETag='"v1"')
    refreshed()
    before = (shop / "price_tables" / "lumber-fernhill.csv").read_bytes()
    (outcome,) = refreshed()
    assert outcome.words == "no price changed"
    assert (shop / "price_tables" / "lumber-fernhill.csv").read_bytes() == before
    assert len(server.asked) == 2


def test_offline_the_kept_copy_is_taken_over_and_its_age_said(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    assert refreshed(offline=True)[0].failed
    refreshed()
    (shop / "price_tables" / "lumber-fernhill.csv").unlink()
    asked = len(server.asked)
    assert not refreshed(offline=True)[0].failed
    assert [float(price) for price in prices(shop)] == [30, 44, 58, 90]
    assert len(server.asked) == asked
    said = capsys.readouterr().err.splitlines()
    assert said[0].endswith(
        "/oak.csv: no copy is kept, and no server was asked; run the command once without --offline"
    )
    used = "the list as it was fetched a moment ago is used, for no server was asked"
    assert said[-1] == f"note: price_tables/addresses.toml:2: {used}"


FAILURES: dict[str, Answer] = {
    "500": sends(b"", status=500),
    "time-out": says_nothing,
    "drip": drips,
    "truncated": breaks_off,
}
REFUSALS: dict[str, Answer] = {
    "404": sends(b"", status=404),
    "sign-in page": sends(PAGE, Content_Type="text/csv"),
    "gzip bomb": bursts,
    "100 MB": sends_100_mb,
    "redirect to a file": redirects("file:///etc/hostname"),
    "redirect loop": redirects("/oak.csv"),
    "no rows": sends(OLD.splitlines()[0]),
    "a row cut off": sends(OLD[:-12]),
    "other headings": sends(OLD.replace(b"Price", b"Cost")),
    "wrong encoding": sends(OLD.decode().encode("utf-16-le")),
    "no text at all": sends(bytes(range(256)) * 10),
    "a damaged workbook": sends(b"PK\x03\x04" + bytes(range(256)) * 10),
    "a page in another encoding": sends(PAGE.decode("utf-8-sig").encode("utf-16")),
}


@pytest.mark.parametrize("answer", [*FAILURES.values(), *REFUSALS.values()], ids=[*FAILURES, *REFUSALS])
def test_whatever_the_server_does_the_tables_stay_or_are_whole(
    shop: Path, server: ListServer, refreshed: Refresh, answer: Answer, capsys: pytest.CaptureFixture[str]
) -> None:
    fails = answer in FAILURES.values()
    server.answers["/oak.csv"] = answer
    none = tables(shop)
    if not fails:  # the others are tried without a copy below
        assert refreshed()[0].failed
        assert tables(shop) == none
    server.answers["/oak.csv"] = sends(OLD)
    refreshed()
    refreshed()
    before = tables(shop)
    server.answers["/oak.csv"] = answer
    capsys.readouterr()
    (outcome,) = refreshed(limits=SHORT if answer in (says_nothing, drips) else PATIENT)
    said = list(filter(None, capsys.readouterr().err.splitlines()))
    assert tables(shop) == before
    assert outcome.failed != fails
    assert said
    assert all("; " in line or line.startswith("note: ") for line in said)
    if not fails:
        assert said[-1] == "1 list was not taken over; its table is as before."


def test_a_list_of_less_than_half_the_rows_leaves_the_table(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    refreshed()
    before = tables(shop)
    server.answers["/oak.csv"] = sends(b"\n".join(OLD.splitlines()[:2]))
    (outcome,) = refreshed()
    assert (outcome.words, outcome.failed) == ("refused", True)
    assert capsys.readouterr().err.startswith("127.0.0.1/oak.csv: has 1 row")
    assert tables(shop) == before


@pytest.mark.parametrize("bad", [b"\n".join(OLD.splitlines()[:2]), OLD.replace(b"Price", b"Cost"), OLD[:-12], PAGE])
@pytest.mark.parametrize("expires_after", ["", 'expires_after = "12 h"'])
def test_a_list_that_is_refused_leaves_the_last_good_one_to_be_used_offline(
    shop: Path, server: ListServer, refreshed: Refresh, bad: bytes, expires_after: str
) -> None:
    refreshed()
    with (shop / "price_tables" / "addresses.toml").open("a", encoding="utf-8") as file:
        file.write(expires_after)
    server.answers["/oak.csv"] = sends(bad)
    if not expires_after:
        assert refreshed()[0].failed
    (shop / "price_tables" / "lumber-fernhill.csv").unlink()
    assert refreshed(offline=True)[0].words == "4 new; written"


def test_a_list_that_was_not_asked_for_says_so_and_is_asked_for_once_the_rule_is_gone(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    addresses = shop / "price_tables" / "addresses.toml"
    without = addresses.read_text(encoding="utf-8")
    addresses.write_text(without + 'expires_after = "7 days"\n', encoding="utf-8")
    refreshed()
    server.answers["/oak.csv"] = sends(NEW)
    capsys.readouterr()
    (outcome,) = refreshed()
    assert re.fullmatch(r"not asked; asked again after \d{4}-\d\d-\d\d \d\d:\d\d", outcome.words)
    assert "Not asked: fetched a moment ago, asked again after " in " ".join(capsys.readouterr().out.split())
    addresses.write_text(without, encoding="utf-8")
    assert refreshed()[0].words == "1 new, 1 gone, 1 dearer, 1 cheaper; written"


def test_the_last_word_says_what_became_of_prices_that_jump(shop: Path, server: ListServer, tmp_path: Path) -> None:
    def words(*, jumps: bool) -> str:
        (outcome,) = refresh(shop, tmp_path / "cache", offline=False, yes=True, jumps=jumps, limits=PATIENT)
        return outcome.words

    words(jumps=False)
    server.answers["/oak.csv"] = sends(OLD.replace(b"30.00", b"60.00").replace(b"44.00", b"45.00"))
    assert words(jumps=False) == "2 dearer; written, but for 1 that jumps"
    assert words(jumps=False) == "1 dearer; not taken, for it jumps"
    assert words(jumps=True) == "1 dearer; written, with 1 that jumps"


def test_a_server_that_fails_without_a_copy_leaves_the_table(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    server.answers["/oak.csv"] = sends(b"", status=503)
    before = tables(shop)
    assert refreshed()[0].failed
    assert tables(shop) == before
    place = f"price_tables/addresses.toml:2: address: {server.address('/oak.csv')}"
    reason = "no copy is kept, and the server says 503 Service Unavailable; try again later"
    assert capsys.readouterr().err.splitlines()[0] == f"{place}: {reason}"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_list_in_any_common_encoding_is_read(
    shop: Path, server: ListServer, refreshed: Refresh, encoding: str
) -> None:
    server.answers["/oak.csv"] = sends(ODD.encode(encoding), Content_Type="text/csv; charset=iso-8859-5")
    assert not refreshed()[0].failed
    assert "Noyer d\u2019été" in (shop / "price_tables" / "lumber-fernhill.csv").read_text(encoding="utf-8-sig")


def test_a_list_that_is_refused_does_not_stand_in_for_a_better_one(
    shop: Path, server: ListServer, refreshed: Refresh
) -> None:
    addresses = shop / "price_tables" / "addresses.toml"
    addresses.write_text(addresses.read_text(encoding="utf-8") + 'expires_after = "12 h"\n', encoding="utf-8")
    server.answers["/oak.csv"] = sends_after(0, sends(OLD.replace(b"Price", b"Cost")))
    assert refreshed()[0].failed
    server.answers["/oak.csv"] = sends(OLD)
    assert not refreshed()[0].failed
    server.answers["/oak.csv"] = sends(NEW)
    assert refreshed()[0].words.startswith("not asked; asked again after ")  # the good one serves for 12 hours


def test_one_list_that_fails_does_not_stop_the_others(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    server.answers |= {"/elm.csv": sends(OLD), "/page": sends(PAGE)}
    add_list(shop, "bramble", server.address("/page"))
    add_list(shop, "alder", server.address("/nowhere.csv"))
    add_list(shop, "elmwood", server.address("/elm.csv"))
    outcomes = refreshed()
    assert [one.failed for one in outcomes] == [False, True, True, False]
    assert len(prices(shop)) == len(prices(shop, "elmwood")) == 4
    assert not (shop / "price_tables" / "lumber-bramble.csv").exists()
    printed = capsys.readouterr()
    assert [line.split() for line in printed.out.splitlines()[-4:]] == [
        ["Fernhill", "lumber", "4", "new;", "written"],
        ["Bramble", "lumber", "not", "fetched"],
        ["Alder", "lumber", "not", "fetched"],
        ["Elmwood", "lumber", "4", "new;", "written"],
    ]
    assert printed.err.endswith("\n2 lists were not taken over; their tables are as before.\n")


def test_a_table_that_cannot_be_written_does_not_stop_the_others(
    shop: Path, server: ListServer, refreshed: Refresh, capsys: pytest.CaptureFixture[str]
) -> None:
    refreshed()
    server.answers["/oak.csv"] = sends(NEW)
    add_list(shop, "elmwood", server.address("/oak.csv"))
    (shop / "price_tables" / "lumber-fernhill.csv.before").mkdir()
    first, second = refreshed()
    assert (first.words, first.failed, second.failed) == ("not written", True, False)
    assert "lumber-fernhill.csv.before: " in capsys.readouterr().err
    assert [float(price) for price in prices(shop)] == [30, 44, 58, 90]


def estimator(monkeypatch: pytest.MonkeyPatch, *words: str) -> object:
    monkeypatch.setattr(sys, "argv", ["estimator", "prices", "refresh", *words])
    with pytest.raises(SystemExit) as ended:
        run()
    return ended.value.code


def test_the_exit_code_says_whether_any_list_failed(
    shop: Path, server: ListServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert estimator(monkeypatch, "--yes") == 0
    assert estimator(monkeypatch, "--yes", str(shop / "stool")) == 0
    assert estimator(monkeypatch, "--offline", "--yes") == 0
    server.answers["/oak.csv"] = sends(PAGE)
    assert estimator(monkeypatch, "--yes") == 1
    assert estimator(monkeypatch, "--jumps") == 2
    assert estimator(monkeypatch, "nowhere") == 1


def test_away_from_every_shop_it_says_where_to_go(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert estimator(monkeypatch) == 1
    assert capsys.readouterr().err.startswith(".: has no shop.toml in it or above it; go to the folder of your shop")
    assert shop.is_dir()


def test_a_secret_of_the_environment_reaches_the_server_and_nothing_else(
    shop: Path,
    tmp_path: Path,
    server: ListServer,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (shop / "price_tables" / "addresses.toml").unlink()
    named = 'header = "X-Yard-Key"\nsecret = "FERNHILL_KEY"\n'
    with list_server() as other:
        server.answers["/away.csv"] = redirects(other.address("/oak.csv"))
        add_list(shop, "fernhill", server.address("/oak.csv"), named)
        add_list(shop, "elmwood", server.address("/away.csv"), named)
        monkeypatch.setenv("FERNHILL_KEY", SECRET)
        assert estimator(monkeypatch, "--yes") == 1
        assert [asked.headers["X-Yard-Key"] for asked in server.asked] == [SECRET, SECRET]
        assert other.asked == []
    printed = capfd.readouterr()
    assert "4 new; written" in printed.out
    assert "must not get the secret" in printed.err
    held = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
    assert SECRET.encode() not in held
    assert SECRET not in printed.out + printed.err
    monkeypatch.delenv("FERNHILL_KEY")
    assert estimator(monkeypatch, "--yes") == 1
    assert estimator(monkeypatch, "--offline", "--yes") == 1  # the second list was never there
    assert "4 new" not in capfd.readouterr().out


def test_a_list_of_which_only_the_dates_change_is_written_without_asking(
    shop: Path, server: ListServer, refreshed: Refresh, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (shop / "price_tables" / "fernhill.map.toml").read_text(encoding="utf-8")
    dated = text.replace('price = "Price"', 'price = "Price"\ndate = "From"')
    (shop / "price_tables" / "fernhill.map.toml").write_text(dated, encoding="utf-8")
    rows = [line + (b",From" if line.startswith(b"Timber") else b",2026-10-01") for line in OLD.splitlines()]
    server.answers["/oak.csv"] = sends(b"\n".join(rows))
    refreshed()
    history = (shop / "price_tables" / "price_history.csv").read_bytes()
    server.answers["/oak.csv"] = sends(b"\n".join(rows).replace(b"2026-10-01", b"2026-11-01"))
    monkeypatch.setattr("typer.confirm", pytest.fail)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    assert refreshed(yes=False)[0].words == "no price changed; dates and notes written"
    assert "2026-11-01" in (shop / "price_tables" / "lumber-fernhill.csv").read_text(encoding="utf-8-sig")
    assert (shop / "price_tables" / "price_history.csv").read_bytes() == history
    before = tables(shop)
    assert refreshed(yes=False)[0].words == "no price changed"
    assert tables(shop) == before


def copies_kept(shop: Path) -> int:
    (file,) = (shop.parent / "cache").rglob("*.sqlite")
    with closing(sqlite3.connect(file)) as connection:
        (count,) = connection.execute("SELECT count(*) FROM responses").fetchone()
    return int(count)


def test_a_list_that_is_no_longer_named_leaves_no_copy(shop: Path, server: ListServer, refreshed: Refresh) -> None:
    server.answers["/elm.csv"] = sends(OLD)
    add_list(shop, "elmwood", server.address("/elm.csv"))
    refreshed()
    assert copies_kept(shop) == 2
    (shop / "price_tables" / "addresses.toml").unlink()
    add_list(shop, "fernhill", server.address("/oak.csv"))
    refreshed(offline=True)
    assert copies_kept(shop) == 1
    assert [float(price) for price in prices(shop)] == [30, 44, 58, 90]


@pytest.mark.parametrize(
    "body",
    [
        OLD.replace(b"Price", SECRET.encode()),
        OLD.replace(b"30.00", SECRET.encode()),
        OLD.replace(b"1x4", f"1x4 {SECRET}".encode()),
        OLD.replace(b"black walnut,1x4", f"{SECRET} walnut,1x4".encode()),
        OLD.replace(b"black walnut,1x4", f"{SECRET} walnut,1x4".encode()).decode().encode("utf-16"),
        f"Prices for {SECRET}\n".encode() + OLD,
    ],
    ids=["heading", "price", "size", "goods", "goods in UTF-16", "title"],
)
def test_what_a_list_repeats_of_a_secret_is_neither_told_nor_written(
    shop: Path,
    server: ListServer,
    refreshed: Refresh,
    body: bytes,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (shop / "price_tables" / "addresses.toml").unlink()
    monkeypatch.setenv("FERNHILL_KEY", SECRET)
    add_list(shop, "fernhill", server.address("/oak.csv"), 'header = "X-Yard-Key"\nsecret = "FERNHILL_KEY"\n')
    server.answers["/oak.csv"] = sends(body)
    failed = refreshed()[0].failed
    assert failed == (not body.startswith(b"Prices"))
    printed = capfd.readouterr()
    assert SECRET not in printed.out + printed.err
    held = b"".join(path.read_bytes() for path in shop.parent.rglob("*") if path.is_file())
    assert SECRET.encode() not in held
    assert SECRET.encode("utf-16-le") not in held
    assert copies_kept(shop) == 0


def test_a_value_of_the_address_that_a_list_repeats_is_not_told(
    shop: Path, server: ListServer, refreshed: Refresh, capfd: pytest.CaptureFixture[str]
) -> None:
    (shop / "price_tables" / "addresses.toml").unlink()
    add_list(shop, "fernhill", server.address("/oak.csv?list=oak&key=quarter%2Dsawn-7391"))
    server.answers["/oak.csv"] = sends(OLD.replace(b"30.00", f"{SECRET} or oak".encode()))
    assert refreshed()[0].failed
    said = capfd.readouterr().err
    assert SECRET not in said
    assert '"... or oak" is not a price' in said
