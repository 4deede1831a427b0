"""The desk over HTTP, for this machine only: pages to read, and one question to ask (the try-out box).

Nothing is taken from a path but a look in a table of pages, nothing is written, and everything that is no such look
is refused in plain words. The Host header must name this machine, so that a page elsewhere cannot reach the desk
through a name of its own (DNS rebinding); the question must come as JSON from the desk's own pages.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable
from threading import Lock
from typing import TYPE_CHECKING

from limberleaf.desk.pages import Desk
from limberleaf.desk.render import POLICY
from limberleaf.desk.tryout import NotTriedError, tried
from limberleaf.findings import Finding

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

LARGEST = 20_000
"""Bytes of a question: MOST_LETTERS of the try-out box in the longest common letters, and the JSON around them."""
_LOCAL = ("127.0.0.1", "localhost", "[::1]")
_TYPES = {"html": "text/html; charset=utf-8", "css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8",
          "svg": "image/svg+xml"}  # fmt: skip
_HEADERS = [
    ("Content-Security-Policy", POLICY.format(own="'self'") + "; frame-ancestors 'none'"),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cache-Control", "no-store"),
]


class NoLibraryError(Exception):
    """The settings cannot be read just now; `findings` say why."""

    def __init__(self, findings: Collection[Finding]) -> None:
        super().__init__("the library cannot be read")
        self.findings = findings


class RefusedError(Exception):
    """A request the desk does not answer: its status, and why."""

    def __init__(self, status: str, why: str, *headers: tuple[str, str]) -> None:
        super().__init__(why)
        self.status, self.why, self.headers = status, why, headers


Answer = tuple[str, bytes]


class DeskApp:
    """The desk as a WSGI application below `mount`; `desk` gives its present state at each request."""

    def __init__(self, desk: Callable[[], Desk], port: int, mount: str = "/") -> None:
        self._desk, self._mount = desk, mount
        self._hosts = {f"{host}:{port}" for host in _LOCAL} | (set(_LOCAL) if port == 80 else set())
        self._one_at_a_time = Lock()

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer one request."""
        method = environ["REQUEST_METHOD"]
        try:
            kind, body = self._answer(method, environ)
            status, more = "200 OK", [("Content-Type", kind)]
        except RefusedError as refusal:
            status, body = refusal.status, f"{refusal.why}\n".encode()
            more = [("Content-Type", "text/plain; charset=utf-8"), *refusal.headers]
        start_response(status, [*_HEADERS, *more, ("Content-Length", str(len(body)))])
        return [b"" if method == "HEAD" else body]

    def _answer(self, method: str, environ: WSGIEnvironment) -> Answer:
        if environ.get("HTTP_HOST", "") not in self._hosts:
            raise RefusedError(
                "403 Forbidden", "The desk answers only on this machine, under 127.0.0.1 or localhost."
            )
        path = self._path(environ)
        with self._one_at_a_time:
            desk = self._present()
            question = desk.live and path == "try"
            allowed = ("POST",) if question else ("GET", "HEAD")
            if method not in allowed:
                raise RefusedError(
                    "405 Method Not Allowed",
                    f"Only {' and '.join(allowed)} here.",
                    ("Allow", ", ".join(allowed)),
                )
            answer = self._try(desk, environ) if question else self._page(desk, path)
            desk.readings.store.save()
            return answer

    def _path(self, environ: WSGIEnvironment) -> str:
        requested = environ.get("PATH_INFO", "/").encode("latin-1").decode("utf-8", errors="replace")
        path = requested.removeprefix(self._mount)
        return path or "index.html"

    def _present(self) -> Desk:
        try:
            return self._desk()
        except NoLibraryError as error:
            lines = "\n".join(f"{found.line()}\n    {found.hint}" for found in error.findings)
            raise RefusedError(
                "503 Service Unavailable",
                f"The library cannot be read just now. Mend this and reload:\n\n{lines}",
            ) from None

    @staticmethod
    def _page(desk: Desk, path: str) -> Answer:
        content = desk.file(path)
        if content is None:
            raise RefusedError("404 Not Found", "The desk has no such page. The overview is at its root.")
        return _TYPES[path.rpartition(".")[2]], content.encode() if isinstance(content, str) else content

    def _try(self, desk: Desk, environ: WSGIEnvironment) -> Answer:
        asked = _question(environ, self._hosts)
        try:
            answer = tried(desk.readings, asked, desk.library.settings.language)
        except NotTriedError as error:
            raise RefusedError("400 Bad Request", str(error)) from None
        return "application/json", json.dumps({"html": desk.tried(answer), "band": answer.band}).encode()


def _question(environ: WSGIEnvironment, hosts: Collection[str]) -> object:
    """Read the JSON of a question; refuse what another site's page could send, and what is too much."""
    origin = environ.get("HTTP_ORIGIN")
    if origin is not None and origin.removeprefix("http://") not in hosts:
        raise RefusedError("403 Forbidden", "Only the desk's own pages may ask.")
    if environ.get("CONTENT_TYPE", "").partition(";")[0].strip().lower() != "application/json":
        raise RefusedError("415 Unsupported Media Type", "Ask in JSON (Content-Type: application/json).")
    try:
        size = int(environ.get("CONTENT_LENGTH") or "")
    except ValueError:
        raise RefusedError("411 Length Required", "Say how long the question is (Content-Length).") from None
    if not 0 <= size <= LARGEST:
        raise RefusedError("413 Content Too Large", f"A question holds at most {LARGEST} bytes.")
    try:
        asked: object = json.loads(environ["wsgi.input"].read(size))
    except (ValueError, RecursionError):
        raise RefusedError("400 Bad Request", "The question is not JSON.") from None
    return asked
