"""Lists over https from a server of this machine, with certificates made for the test."""

import os
import ssl
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import trustme

from estimator.cli.prices_refresh import refresh
from estimator.errors import Origin
from estimator.keeping.addresses import ListAddress
from estimator.keeping.door import Limits, NotFetchedError
from estimator.keeping.fetch import fetch, keep
from tests.keeping.list_server import LIST, ListServer, list_server, redirects, sends
from tests.keeping.test_refresh import OLD, add_list, shop, tables  # noqa: F401 - shop is a fixture

LIMITS = Limits(retries=0, backoff_s=0.01)
DANGER = "so another could be answering in its place; "
UNKNOWN = f"nobody whom this computer trusts vouches for the server, {DANGER}look at the address in your browser"


@pytest.fixture(autouse=True)
def _no_settings_of_this_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    named = ("requests_ca_bundle", "curl_ca_bundle", "ssl_cert_file", "ssl_cert_dir")
    for name in [name for name in os.environ if name.lower().endswith("_proxy") or name.lower() in named]:
        monkeypatch.delenv(name)


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


def protection(certificate: trustme.LeafCert) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    certificate.configure_cert(context)
    return context


@pytest.fixture
def server(authority: trustme.CA) -> Iterator[ListServer]:
    with list_server(protection(authority.issue_cert("127.0.0.1"))) as server:
        server.answers["/list.csv"] = sends()
        yield server


@pytest.fixture
def trusted(authority: trustme.CA, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the file of authorities that this computer trusts, in which the one of the test stands."""
    path = tmp_path / "authorities.pem"
    authority.cert_pem.write_to_path(path)
    monkeypatch.setenv("REQUESTS_CA_BUNDLE", str(path))
    return path


def listed(address: str, *, allow_http: bool = False) -> ListAddress:
    return ListAddress(
        origin=Origin(file="addresses.toml", line=2),
        map_path=Path("fernhill.map.toml"),
        address=address,
        allow_http=allow_http,
    )


def refusal(source: ListAddress, tmp_path: Path) -> str:
    with pytest.raises(NotFetchedError) as caught:
        fetch(source, tmp_path / "copies", limits=LIMITS)
    return str(caught.value)


@pytest.mark.usefixtures("trusted")
def test_a_server_that_a_trusted_authority_vouches_for_is_asked(server: ListServer, tmp_path: Path) -> None:
    assert fetch(listed(server.address()), tmp_path / "copies", limits=LIMITS).content == LIST


def test_a_server_that_nobody_trusted_vouches_for_is_refused(server: ListServer, tmp_path: Path) -> None:
    for allow_http in (False, True):
        assert refusal(listed(server.address(), allow_http=allow_http), tmp_path).startswith(UNKNOWN)
    assert server.asked == []


def test_a_kept_copy_does_not_hide_that_a_server_is_not_to_be_trusted(
    server: ListServer, trusted: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = listed(server.address())
    keep(fetch(source, tmp_path / "copies", limits=LIMITS), source, tmp_path / "copies")
    trustme.CA().cert_pem.write_to_path(trusted)  # now it trusts another authority only
    assert refusal(source, tmp_path).startswith(UNKNOWN)
    monkeypatch.delenv("REQUESTS_CA_BUNDLE")
    assert refusal(source, tmp_path).startswith(UNKNOWN)
    assert fetch(source, tmp_path / "copies", offline=True).content == LIST


@pytest.mark.usefixtures("trusted")
def test_a_certificate_of_another_server_or_of_another_time_is_refused(authority: trustme.CA, tmp_path: Path) -> None:
    day, today = timedelta(days=1), datetime.now(UTC)
    run_out = authority.issue_cert("127.0.0.1", not_before=today - 9 * day, not_after=today - day)
    not_yet = authority.issue_cert("127.0.0.1", not_before=today + day, not_after=today + 9 * day)
    not_today = f"the server's certificate is not good today, {DANGER}see that this computer's date is right"
    another = f"the server's certificate is made out to another server, {DANGER}look whether the address is right"
    for certificate, complaint in (
        (run_out, not_today),
        (not_yet, not_today),
        (authority.issue_cert("prices.fernhill.example"), another),
        (authority.issue_cert("127.0.0.2"), another),
    ):
        with list_server(protection(certificate)) as server:
            assert refusal(listed(server.address()), tmp_path).startswith(complaint)
            assert server.asked == []


def test_a_name_that_is_not_in_the_certificate_is_refused(server: ListServer, trusted: Path, tmp_path: Path) -> None:
    assert trusted.exists()
    address = server.address().replace("127.0.0.1", "localhost")
    assert "is made out to another server" in refusal(listed(address), tmp_path)


@pytest.mark.usefixtures("trusted")
def test_from_https_to_http_is_only_followed_where_the_list_allows_it(server: ListServer, tmp_path: Path) -> None:
    with list_server() as unprotected:
        unprotected.answers["/list.csv"] = sends(OLD)
        server.answers["/list.csv"] = redirects(unprotected.address())
        said = refusal(listed(server.address()), tmp_path)
        assert said == "the server sends on to where no list is fetched from; look for another address"
        assert unprotected.asked == []
        allowing = listed(server.address(), allow_http=True)
        assert fetch(allowing, tmp_path / "copies", limits=LIMITS).content == OLD


@pytest.mark.usefixtures("trusted")
def test_a_redirect_to_a_server_that_nobody_vouches_for_is_refused(server: ListServer, tmp_path: Path) -> None:
    with list_server(protection(trustme.CA().issue_cert("127.0.0.1"))) as other:
        server.answers["/list.csv"] = redirects(other.address())
        assert refusal(listed(server.address()), tmp_path).startswith(UNKNOWN)
        assert other.asked == []


def test_a_server_that_speaks_no_https_is_said_to_be_so(tmp_path: Path) -> None:
    with list_server() as unprotected:
        address = unprotected.address().replace("http:", "https:")
        said = refusal(listed(address), tmp_path)
    assert said.startswith("no copy is kept, and no protected line to the server can be made; look at the address")


def test_a_list_of_authorities_that_is_not_there_is_said_to_be_missing(
    server: ListServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("REQUESTS_CA_BUNDLE", str(tmp_path / "nowhere.pem"))
    said = refusal(listed(server.address()), tmp_path)
    assert said == "no list of trusted certificates is where REQUESTS_CA_BUNDLE points; mend or unset it"


def test_a_refresh_leaves_the_table_where_the_server_is_not_to_be_trusted(
    shop: Path,  # noqa: F811 - the fixture
    authority: trustme.CA,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / "authorities.pem"
    authority.cert_pem.write_to_path(path)
    (shop / "price_tables" / "addresses.toml").unlink()
    with list_server(protection(authority.issue_cert("127.0.0.1"))) as server:
        add_list(shop, "fernhill", server.address("/oak.csv"))
        server.answers["/oak.csv"] = sends(OLD)
        monkeypatch.setenv("REQUESTS_CA_BUNDLE", str(path))
        assert refreshed(shop, tmp_path) == "4 new; written"
        before = tables(shop)
        monkeypatch.delenv("REQUESTS_CA_BUNDLE")
        server.answers["/oak.csv"] = sends(OLD.replace(b"30.00", b"3.00"))
        assert refreshed(shop, tmp_path) == "not fetched"
    assert tables(shop) == before
    assert "vouches for the server, so another could be answering in its place; look at" in capsys.readouterr().err


def refreshed(shop: Path, tmp_path: Path) -> str:  # noqa: F811 - the fixture's value
    (outcome,) = refresh(shop, tmp_path / "copies", offline=False, yes=True, jumps=True, limits=LIMITS)
    return outcome.words
