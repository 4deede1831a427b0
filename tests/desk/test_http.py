"""The desk over HTTP: what it answers, and that it refuses everything else in plain words."""

from __future__ import annotations

import http.client
import json
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import BIN
from desk.hard_library import ENTRY, hard_library
from serving import desk_running

COOKIES: dict[int, str] = {}
"""The cookie of the desk on a port."""
Answer = tuple[int, dict[str, str], str]


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, int]]:
    """`limberleaf desk` over a library of its own: the folder and the port."""
    folder = hard_library(tmp_path_factory.mktemp("running"))
    with desk_running(folder, "--today", "2026-11-25") as desk:
        COOKIES[desk.port] = "=".join(desk.cookie)
        yield folder, desk.port
    assert "Traceback" not in desk.served.output()


def ask(port: int, method: str, path: str, body: bytes | None = None, **headers: str) -> Answer:
    """Send one request as it is written, without any tidying of the path."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    sent = {"Host": f"127.0.0.1:{port}", "Cookie": COOKIES[port]} | {
        name.replace("_", "-"): value for name, value in headers.items()
    }
    link.request(method, path, body, sent)
    answer = link.getresponse()
    text = answer.read().decode()
    link.close()
    return answer.status, {name.lower(): value for name, value in answer.getheaders()}, text


def question(port: int, asked: object, **headers: str) -> Answer:
    sent = {"Content_Type": "application/json", **headers}
    return ask(
        port, "POST", "/try", asked if isinstance(asked, bytes) else json.dumps(asked).encode(), **sent
    )


def test_pages_come_with_a_policy_as_strict_as_the_sites(running: tuple[Path, int]) -> None:
    _, port = running
    for path, kind in (
        ("/", "text/html"),
        ("/exercises/kn-02.html", "text/html"),
        ("/assets/desk.css", "text/css"),
    ):
        status, headers, _ = ask(port, "GET", path)
        assert status == 200
        assert headers["content-type"].startswith(kind)
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'")
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        assert "access-control-allow-origin" not in headers
    status, headers, body = ask(port, "HEAD", "/")
    assert (status, body) == (200, "")
    assert int(headers["content-length"]) > 1000


@pytest.mark.parametrize(
    "host", ["desk.example", "127.0.0.1", "127.0.0.1:1", "localhost.desk.example:80", ""]
)
def test_another_host_is_refused(running: tuple[Path, int], host: str) -> None:
    """DNS rebinding: a page elsewhere gives its own name the address of this machine."""
    _, port = running
    status, _, body = ask(port, "GET", "/", Host=host)
    assert status == 403
    assert body == "The desk answers only on this machine, under 127.0.0.1 or localhost.\n"


def test_localhost_is_this_machine(running: tuple[Path, int]) -> None:
    _, port = running
    assert ask(port, "GET", "/", Host=f"localhost:{port}")[0] == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "FOO"])
def test_pages_are_only_read(running: tuple[Path, int], method: str) -> None:
    _, port = running
    status, headers, body = ask(port, method, "/exercises/kn-02.html")
    assert status == 405
    assert headers["allow"] == "GET, HEAD"
    assert body == "Only GET and HEAD here.\n"


def test_the_question_is_only_asked_by_post(running: tuple[Path, int]) -> None:
    _, port = running
    status, headers, _ = ask(port, "GET", "/try")
    assert (status, headers["allow"]) == (405, "POST")


@pytest.mark.parametrize(
    "path",
    [
        "/../content/clinic.yml", "/assets/../../clinic.yml", "/%2e%2e/%2e%2e/etc/passwd", "/assets/..%2f..%2fpages.py",
        "//etc/passwd", "/content/clinic.yml", "/assets/", "/exercises", "/exercises/kn-99.html", "/%00",
        "/%E9.html", "/%C3%A9.html",
        "/templates/base.html", "/exercises/kn-02.html/..", "/index.html%00.css",
    ],
)  # fmt: skip
def test_no_path_leads_to_a_file(running: tuple[Path, int], path: str) -> None:
    _, port = running
    status, _, body = ask(port, "GET", path)
    assert status == 404
    assert body == "The desk has no such page. The overview is at its root.\n"


def test_a_question_is_answered_with_marks_and_the_level(running: tuple[Path, int]) -> None:
    _, port = running
    status, headers, body = question(
        port, {"text": "Perform a rotation of your trunk.\nLift <script>one</script> foot.", "kind": "step"}
    )
    assert status == 200
    assert headers["content-type"] == "application/json"
    answer = json.loads(body)
    assert answer["band"] == "Too short to grade"
    assert "try-note-1" in answer["html"]
    assert "Noun made from a verb" in answer["html"]
    assert "<script>" not in answer["html"]
    assert "&lt;" in answer["html"]


def test_a_hundred_words_have_a_band(running: tuple[Path, int]) -> None:
    _, port = running
    text = "Sit on a firm chair with both feet on the floor. " * 12
    answer = json.loads(question(port, {"text": text, "kind": "prose"})[2])
    assert answer["band"] == "Age 9 or younger"


@pytest.mark.parametrize(
    ("asked", "status", "message"),
    [
        (b"{", 400, "not JSON"),
        (b"[" * 15_000, 400, "not JSON"),
        ([], 400, "`text`"),
        ({"text": 3}, 400, "`text` must be a text"),
        ({"text": "x" * 5001}, 400, "At most 5000 characters"),
        ({"text": "Sit.", "kind": "heading"}, 400, "`kind` is one of"),
        ({"text": "Sit.", "kind": ["step"]}, 400, "`kind` is one of"),
        ({"text": "Sit.", "language": "tlh"}, 400, "`language`"),
        ({"text": "Sit.", "language": {}}, 400, "`language`"),
        ({"text": "x" * 20_000}, 413, "at most 20000 bytes"),
    ],
)
def test_a_bad_question_is_refused_in_plain_words(
    running: tuple[Path, int], asked: object, status: int, message: str
) -> None:
    _, port = running
    got, _, answer = question(port, asked)
    assert got == status
    assert message in answer
    assert "Traceback" not in answer


def test_far_too_much_is_refused_before_it_is_read(running: tuple[Path, int]) -> None:
    _, port = running
    with socket.create_connection(("127.0.0.1", port), timeout=20) as link:
        link.sendall(
            f"POST /try HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\n"
            f"Cookie: {COOKIES[port]}\r\nContent-Length: 900000000\r\n\r\n".encode()
        )
        assert b" 413 " in link.recv(200)


@pytest.mark.parametrize("origin", ["http://desk.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"])
def test_another_sites_page_cannot_ask(running: tuple[Path, int], origin: str) -> None:
    _, port = running
    assert question(port, {"text": "Sit."}, Origin=origin)[0] == 403
    assert question(port, {"text": "Sit."}, Origin=f"http://127.0.0.1:{port}")[0] == 200


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_a_form_cannot_ask(running: tuple[Path, int], kind: str) -> None:
    """These are the kinds a page elsewhere may send without asking first (Fetch standard, CORS-safelisted types)."""
    _, port = running
    assert question(port, {"text": "Sit."}, Content_Type=kind)[0] == 415


def test_the_desk_follows_an_edit_and_outlives_a_mistake(running: tuple[Path, int]) -> None:
    folder, port = running
    file, clinic = folder / ENTRY, folder / "content/clinic.yml"
    text, settings = file.read_text("utf-8"), clinic.read_text("utf-8")
    try:
        file.write_text(
            text.replace("Lower your foot slowly.", "Lower your foot with great deliberation."), "utf-8"
        )
        assert "great deliberation" in ask(port, "GET", "/exercises/kn-02.html")[2]
        clinic.write_text("name: [", "utf-8")
        status, _, body = ask(port, "GET", "/")
        assert status == 503
        assert "clinic.yml:2:1: error [yaml-syntax]" in body
        assert "Traceback" not in body
    finally:
        file.write_text(text, "utf-8")
        clinic.write_text(settings, "utf-8")
    assert ask(port, "GET", "/")[0] == 200


def test_only_this_machine_is_listened_to(running: tuple[Path, int]) -> None:
    """The kernel's own table of listening sockets (Linux, proc(5)): 0100007F is 127.0.0.1."""
    _, port = running
    rows = [line.split() for line in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    listening = [row[1] for row in rows if row[3] == "0A" and int(row[1].split(":")[1], 16) == port]
    assert listening == [f"0100007F:{port:04X}"]
    six = [line.split()[1] for line in Path("/proc/net/tcp6").read_text().splitlines()[1:]]
    assert not [one for one in six if int(one.split(":")[1], 16) == port]


def test_nothing_is_written_into_the_library(running: tuple[Path, int]) -> None:
    folder, port = running
    before = {file: file.stat().st_mtime_ns for file in (folder / "content").rglob("*")}
    for path in ("/", "/exercises/kn-02.html", "/exercises/kn-02.sign-off.html", "/try.html"):
        assert ask(port, "GET", path)[0] == 200
    question(port, {"text": "Sit."})
    assert {file: file.stat().st_mtime_ns for file in (folder / "content").rglob("*")} == before


def test_a_taken_port_is_reported(running: tuple[Path, int]) -> None:
    folder, port = running
    done = subprocess.run(
        [str(BIN / "limberleaf"), "desk", "--port", str(port)],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert f"Cannot listen on port {port}" in done.stderr
    assert "Traceback" not in done.stderr
