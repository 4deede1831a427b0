"""Who may come in: on this machine whoever has the key of the start address, in a network whom the proxy vouches for.

Each start makes a new key, which becomes a cookie that other sites' pages never send (SameSite=Strict). The Host
header must be one of ours, so that a name of somebody else's cannot lead here (DNS rebinding), and a question must come
from our own pages (Origin, Sec-Fetch-Site), in JSON.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Collection
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from limberleaf.desk.answers import RefusedError

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIEnvironment

LOCAL = ("127.0.0.1", "localhost", "[::1]")
LARGEST = 400_000
"""Bytes of what may be sent: an entry is a few kilobytes, and its text goes with its values."""


@dataclass(frozen=True)
class Access:
    """The rules of one desk. Without a `key` the proxy's header `user_header` must name who asks."""

    port: int
    hosts: frozenset[str]
    key: str = ""
    user_header: str = ""
    scheme: str = "http"
    open_to_all: bool = False
    """A desk that only shows pages, as beside a preview: no key is asked for."""

    @classmethod
    def local(cls, port: int, key: str = "") -> Access:
        """Give the access of a desk on this machine."""
        hosts = {f"{host}:{port}" for host in LOCAL} | (set(LOCAL) if port == 80 else set())
        return cls(port, frozenset(hosts), key, open_to_all=not key)

    @property
    def cookie(self) -> str:
        """Name the cookie; ports share cookies, so its name holds the port."""
        return f"limberleaf-desk-{self.port}"

    def check_host(self, environ: WSGIEnvironment) -> None:
        """Refuse a request that came under another name."""
        if environ.get("HTTP_HOST", "") not in self.hosts:
            raise RefusedError(
                "403 Forbidden",
                f"The desk answers only under {' or '.join(sorted(self.hosts))}."
                if self.user_header
                else "The desk answers only on this machine, under 127.0.0.1 or localhost.",
            )

    def key_in_address(self, environ: WSGIEnvironment) -> bool:
        """Tell whether the address carries the right key."""
        given = parse_qs(environ.get("QUERY_STRING", "")).get("key", [""])[0]
        return bool(self.key) and hmac.compare_digest(given.encode(), self.key.encode())

    def set_cookie(self) -> tuple[str, str]:
        """Give the header that keeps the key in the browser."""
        return "Set-Cookie", f"{self.cookie}={self.key}; Path=/; HttpOnly; SameSite=Strict"

    def who(self, environ: WSGIEnvironment) -> str:
        """Give the name of who asks ("" on this machine); refuse who is not let in."""
        if self.open_to_all:
            return ""
        if self.user_header:
            name = environ.get("HTTP_" + self.user_header.upper().replace("-", "_"), "").strip()
            if not name:
                raise RefusedError(
                    "403 Forbidden", f"The proxy before this desk did not say who asks ({self.user_header})."
                )
            return str(name.encode("latin-1", "replace").decode("utf-8", "replace")[:80])
        try:
            jar = SimpleCookie(environ.get("HTTP_COOKIE", ""))
        except CookieError:
            jar = SimpleCookie()
        given = jar[self.cookie].value if self.cookie in jar else ""
        if not hmac.compare_digest(given.encode(), self.key.encode()):
            raise RefusedError(
                "403 Forbidden",
                "Open the desk with the whole address that `limberleaf desk` printed when it started; it holds a key.",
            )
        return ""

    def question(self, environ: WSGIEnvironment, largest: int = LARGEST) -> object:
        """Read the JSON of a question; refuse what another site's page could send, and what is too much."""
        check_origin(environ, {f"{self.scheme}://{host}" for host in self.hosts})
        if environ.get("CONTENT_TYPE", "").partition(";")[0].strip().lower() != "application/json":
            raise RefusedError("415 Unsupported Media Type", "Ask in JSON (Content-Type: application/json).")
        try:
            size = int(environ.get("CONTENT_LENGTH") or "")
        except ValueError:
            raise RefusedError(
                "411 Length Required", "Say how long the question is (Content-Length)."
            ) from None
        if not 0 <= size <= largest:
            raise RefusedError("413 Content Too Large", f"A question holds at most {largest} bytes.")
        try:
            asked: object = json.loads(environ["wsgi.input"].read(size))
        except (ValueError, RecursionError):
            raise RefusedError("400 Bad Request", "The question is not JSON.") from None
        return asked


def check_origin(environ: WSGIEnvironment, origins: Collection[str]) -> None:
    """Refuse a question from a page that is not ours."""
    origin = environ.get("HTTP_ORIGIN")
    elsewhere = environ.get("HTTP_SEC_FETCH_SITE", "same-origin") not in ("same-origin", "none")
    if (origin is not None and origin not in origins) or elsewhere:
        raise RefusedError("403 Forbidden", "Only the desk's own pages may ask.")
