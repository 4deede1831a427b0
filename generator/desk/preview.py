"""The desk beside a live preview: pages are made when somebody opens them, so the preview stays as quick as it was.

It hangs in the preview's server, never in the site's files, so no build can publish it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Protocol

from limberleaf.desk.access import Access
from limberleaf.desk.app import DeskApp
from limberleaf.desk.read.readings import Readings
from limberleaf.desk.site import Desk
from limberleaf.findings import Finding
from limberleaf.library import Library
from limberleaf.store import Store

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

FOLDER = "desk/"

Snapshot = tuple[Library, Sequence[Finding]]


class PreviewServer(Protocol):
    """What the desk needs of the preview's server: its address, the folder of its site, its application."""

    server_address: Any
    mount_path: str

    def get_app(self) -> WSGIApplication | None:
        """Give the application it serves."""
        ...

    def set_app(self, application: WSGIApplication) -> None:
        """Take another application."""
        ...


def add_desk(
    server: PreviewServer, state: Callable[[], Snapshot], store: Store, today: Callable[[], date]
) -> str:
    """Put the desk beside the site of a preview, and give its address; `state` gives the library and findings."""
    host, port = server.server_address[:2]
    mount = server.mount_path + FOLDER
    site = server.get_app()
    if site is not None:
        server.set_app(beside(site, DeskApp(_follow(state, store, today), Access.local(port), mount), mount))
    return f"http://{host}:{port}{mount}"


def _follow(state: Callable[[], Snapshot], store: Store, today: Callable[[], date]) -> Callable[[], Desk]:
    """Give the desk over the present state, rebuilt only when that changed."""
    readings = Readings(store)
    latest: list[tuple[Snapshot, date, Desk]] = []

    def present() -> Desk:
        library, findings = state()
        day = today()
        if not latest or latest[0][0][0] is not library or latest[0][1] != day:
            latest[:] = [((library, findings), day, Desk(library, findings, day, readings))]
        return latest[0][2]

    return present


def beside(site: WSGIApplication, desk: DeskApp, mount: str) -> WSGIApplication:
    """Give an application that answers below `mount` with the desk and leaves the rest to the site."""

    def both(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        path = environ.get("PATH_INFO", "")
        if path == mount.rstrip("/"):
            start_response("302 Found", [("Location", mount), ("Content-Length", "0")])
            return [b""]
        return (desk if path.startswith(mount) else site)(environ, start_response)

    return both
