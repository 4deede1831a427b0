"""The desk over HTTP: pages to read, one question to ask (the try-out box), and the apis where entries are written.

A path is only ever looked up in a table of pages; anything else is refused in plain words. Who may come in is decided
by access.py; beside a preview there is only reading.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable
from threading import Lock
from typing import TYPE_CHECKING, Protocol

from limberleaf.desk.access import Access
from limberleaf.desk.answers import TYPES, Answer, RefusedError
from limberleaf.desk.read.tryout import NotTriedError, tried
from limberleaf.desk.render import POLICY
from limberleaf.desk.site import Desk
from limberleaf.findings import Finding

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

LARGEST = 20_000
"""Bytes of a question: MOST_LETTERS of the try-out box in the longest common letters, and the JSON around them."""
_HEADERS = (
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cache-Control", "no-store"),
)
_FRAMED = "preview/"
"""Below this are the patient's pages, which the writing page shows in a frame; they bring the site's own policy."""


class NoLibraryError(Exception):
    """The settings cannot be read just now; `findings` say why."""

    def __init__(self, findings: Collection[Finding]) -> None:
        super().__init__("the library cannot be read")
        self.findings = findings


class Api(Protocol):
    """A part of the desk that answers for addresses of its own."""

    def page(self, path: str) -> Answer | None:
        """Give a page or file; None when it is not this part's."""
        ...

    def asked(self, path: str, asked: object, who: str) -> Answer | None:
        """Answer a question; None when it is not this part's."""
        ...


class DeskApp:
    """The desk as a WSGI application below `mount`; `desk` gives its present state at each request."""

    def __init__(
        self, desk: Callable[[], Desk], access: Access, mount: str = "/", apis: Collection[Api] = ()
    ) -> None:
        self._desk, self._access, self._mount, self._apis = desk, access, mount, apis
        self._one_at_a_time = Lock()

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer one request."""
        method = environ["REQUEST_METHOD"]
        more: list[tuple[str, str]]
        try:
            kind, body = self._answer(method, environ)
            status, more = "200 OK", [("Content-Type", kind)]
        except RefusedError as refusal:
            status, body = refusal.status, f"{refusal.why}\n".encode()
            more = [("Content-Type", "text/plain; charset=utf-8"), *refusal.headers]
        headers = [("Content-Security-Policy", self._policy(environ)), *_HEADERS, *more]
        start_response(status, [*headers, ("Content-Length", str(len(body)))])
        return [b"" if method == "HEAD" else body]

    def _policy(self, environ: WSGIEnvironment) -> str:
        framed = "'self'" if self._path(environ).startswith(_FRAMED) else "'none'"
        return POLICY.format(own="'self'") + f"; frame-ancestors {framed}"

    def _answer(self, method: str, environ: WSGIEnvironment) -> Answer:
        self._access.check_host(environ)
        path = self._path(environ)
        if method in ("GET", "HEAD") and self._access.key_in_address(environ):
            raise RefusedError(
                "303 See Other", "Come in.", ("Location", self._mount), self._access.set_cookie()
            )
        who = self._access.who(environ)
        asks = self._asks(path)
        allowed = ("POST",) if asks else ("GET", "HEAD")
        if method not in allowed:
            raise RefusedError(
                "405 Method Not Allowed", f"Only {' and '.join(allowed)} here.", ("Allow", ", ".join(allowed))
            )
        asked = self._access.question(environ, *([LARGEST] if path == "try" else [])) if asks else None
        with self._one_at_a_time:
            return self._question(path, asked, who) if asks else self._page(path)

    def _asks(self, path: str) -> bool:
        return path == "try" or (bool(self._apis) and path.startswith("ask/"))

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

    def _page(self, path: str) -> Answer:
        desk = self._present()
        content = desk.file(path)
        if content is None:
            made = next((one for api in self._apis if (one := api.page(path)) is not None), None)
            if made is not None:
                return made
            raise RefusedError("404 Not Found", "The desk has no such page. The overview is at its root.")
        desk.readings.store.save()
        return TYPES[path.rpartition(".")[2]], content.encode() if isinstance(content, str) else content

    def _question(self, path: str, asked: object, who: str) -> Answer:
        desk = self._present()
        if path != "try":
            made = next((one for api in self._apis if (one := api.asked(path, asked, who)) is not None), None)
            if made is None:
                raise RefusedError("404 Not Found", "The desk knows no such question.")
            return made
        try:
            answer = tried(desk.readings, asked, desk.library.settings.language)
        except NotTriedError as error:
            raise RefusedError("400 Bad Request", str(error)) from None
        desk.readings.store.save()
        return TYPES["json"], json.dumps({"html": desk.tried(answer), "band": answer.band}).encode()
