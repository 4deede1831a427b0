"""Who may come in at the desk: the key of the start address, the proxy's word, and nobody else's pages."""

from __future__ import annotations

import http.client
import io
import json
import socket
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from desk.hard_library import write_starter
from serving import desk_running

from limberleaf.commands.desk import command
from limberleaf.desk.access import Access
from limberleaf.desk.answers import RefusedError


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, str]]:
    """A running desk: its port and its key."""
    folder = tmp_path_factory.mktemp("desk")
    write_starter(folder)
    with desk_running(folder) as desk:
        yield desk.port, desk.key


def answer(
    port: int, method: str, path: str, body: object = None, **headers: str
) -> tuple[int, dict[str, str], str]:
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    data = None if body is None else json.dumps(body).encode()
    link.request(method, path, data, {name.replace("_", "-"): value for name, value in headers.items()})
    got = link.getresponse()
    text = got.read().decode()
    link.close()
    return got.status, {name.lower(): value for name, value in got.getheaders()}, text


def test_the_start_address_gives_a_cookie_that_other_sites_never_send(running: tuple[int, str]) -> None:
    """SameSite, HttpOnly: RFC 6265bis, chapter 5.6."""
    port, key = running
    status, headers, _ = answer(port, "GET", f"/?key={key}")
    assert (status, headers["location"]) == (303, "/")
    assert headers["set-cookie"] == f"limberleaf-desk-{port}={key}; Path=/; HttpOnly; SameSite=Strict"
    assert answer(port, "GET", "/", Cookie=headers["set-cookie"].partition(";")[0])[0] == 200


@pytest.mark.parametrize(
    "cookie", ["", "limberleaf-desk-{port}=", "limberleaf-desk-{port}=wrong", "limberleaf-desk-1={key}"]
)
@pytest.mark.parametrize(
    "path", ["/", "/exercises/kn-01.html", "/assets/desk.css", "/write/edit.html", "/?key=wrong"]
)
def test_without_the_key_there_is_nothing_to_see(running: tuple[int, str], cookie: str, path: str) -> None:
    port, key = running
    status, _, text = answer(port, "GET", path, Cookie=cookie.format(port=port, key=key))
    assert status == 403
    assert text.startswith("Open the desk with the whole address")
    asked = answer(port, "POST", "/ask/open", {"path": "clinic.yml"}, Content_Type="application/json",
                   Cookie=cookie.format(port=port, key=key))  # fmt: skip
    assert asked[0] == 403


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": "http://127.0.0.1:{port}", "Sec_Fetch_Site": "same-origin"}, 200),
        ({"Origin": "http://desk.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Sec_Fetch_Site": "same-site"}, 403),
        ({"Content_Type": "text/plain"}, 415),
        ({"Host": "desk.example"}, 403),
    ],
)
def test_only_our_own_pages_may_write(running: tuple[int, str], headers: dict[str, str], status: int) -> None:
    """The fetch metadata headers: W3C Fetch Metadata Request Headers, chapter 2."""
    port, key = running
    sent = {"Content_Type": "application/json", "Cookie": f"limberleaf-desk-{port}={key}"}
    sent |= {name: value.format(port=port) for name, value in headers.items()}
    assert answer(port, "POST", "/ask/open", {"path": "clinic.yml"}, **sent)[0] == status


def test_120_idle_connections_do_not_stall_it(running: tuple[int, str]) -> None:
    port, key = running
    with ExitStack() as idle:
        for _ in range(120):
            idle.enter_context(socket.create_connection(("127.0.0.1", port), timeout=20))
        assert answer(port, "GET", "/assets/desk.css", Cookie=f"limberleaf-desk-{port}={key}")[0] == 200


# --- behind a proxy ------------------------------------------------------------------------------------------------


def environ(**headers: str) -> dict[str, Any]:
    return {"HTTP_HOST": "desk.clinic.example", "wsgi.input": io.BytesIO(b"{}"), "CONTENT_TYPE": "application/json",
            "CONTENT_LENGTH": "2", **headers}  # fmt: skip


def test_the_proxy_says_who_asks() -> None:
    access = Access(8321, frozenset({"desk.clinic.example"}), user_header="X-Remote-User", scheme="https")
    access.check_host(environ())
    assert access.who(environ(HTTP_X_REMOTE_USER="Ada Lane")) == "Ada Lane"
    assert access.question(environ(HTTP_ORIGIN="https://desk.clinic.example")) == {}
    for bad in ({}, {"HTTP_X_REMOTE_USER": " "}):
        with pytest.raises(RefusedError, match="did not say who asks"):
            access.who(environ(**bad))
    with pytest.raises(RefusedError, match=r"only under desk\.clinic\.example"):
        access.check_host(environ(HTTP_HOST="127.0.0.1:8321"))
    with pytest.raises(RefusedError, match="own pages"):
        access.question(environ(HTTP_ORIGIN="http://desk.clinic.example"))


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (
            ["--listen", "0.0.0.0", "--host", "x.example", "--user-header", "X-User"],  # noqa: S104
            "all addresses at once are refused",
        ),
        (
            ["--listen", "::", "--host", "x.example", "--user-header", "X-User"],
            "all addresses at once are refused",
        ),
        (["--listen", "clinic", "--host", "x.example", "--user-header", "X-User"], "write an address"),
        (["--listen", "127.0.0.1"], "go together"),
        (["--user-header", "X-User"], "go together"),
    ],
)
def test_a_desk_in_a_network_names_its_address_its_hosts_and_its_header(
    options: list[str], told: str, tmp_path: Path
) -> None:
    write_starter(tmp_path)
    done = CliRunner().invoke(command, ["--content", str(tmp_path / "content"), *options])
    assert done.exit_code == 2
    assert told in done.output
