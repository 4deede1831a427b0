"""A preview shows drafts: it answers to this machine's own names and to nobody who rebinds another."""

from __future__ import annotations

import socket
from collections.abc import Iterable
from typing import Any

import pytest

from limberleaf.publish.preview_hosts import only_known_hosts

EVERYWHERE = "0.0.0.0"  # noqa: S104 - what a user may tell it; nothing listens here


def answered(listens_at: str, host: str) -> bool:
    def site(environ: Any, start_response: Any) -> Iterable[bytes]:
        start_response("200 OK", [])
        return [b"a draft"]

    statuses: list[str] = []
    body = only_known_hosts(site, listens_at)(
        {"HTTP_HOST": host} if host else {}, lambda status, _headers: statuses.append(status)
    )
    assert (b"".join(body) == b"a draft") == (statuses == ["200 OK"])
    return statuses == ["200 OK"]


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST", "[::1]:8000", "127.0.0.1:9999"]
)
@pytest.mark.parametrize("listens_at", ["127.0.0.1", "::1", "localhost", EVERYWHERE])
def test_this_machine_is_answered(listens_at: str, host: str) -> None:
    assert answered(listens_at, host)


@pytest.mark.parametrize(
    "host",
    [
        "evil.example:8000",
        "127.0.0.1.evil.example",
        "",
        "192.168.1.5:8000",
        "localhost.evil.example",
        "[evil]",
    ],
)
def test_on_loopback_nobody_else_is(host: str) -> None:
    assert not answered("127.0.0.1", host)


def test_asked_to_listen_to_the_network_it_answers_to_addresses_and_its_own_name_only() -> None:
    for host in ("192.168.1.5:8000", "[fe80::1]:8000", socket.gethostname()):
        assert answered(EVERYWHERE, host)
    for host in ("evil.example:8000", ""):
        assert not answered(EVERYWHERE, host)
