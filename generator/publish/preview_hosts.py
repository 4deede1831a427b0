"""Who may read a preview: it shows drafts, so it answers only to names that lead to this machine.

A page elsewhere can give its own name the address of this machine (DNS rebinding) and read what answers there; its
requests still carry that name in their Host header, which RFC 9110, section 7.2, makes every request carry.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

_REFUSED = b"The preview answers only under the address it was started with.\n"


def only_known_hosts(site: WSGIApplication, listens_at: str) -> WSGIApplication:
    """Give an application that refuses requests for any other host than the one it listens at.

    On loopback that is this machine's own names. Told to listen to the network, it also answers to plain addresses,
    which nobody can rebind, and to the machine's name.
    """
    known = {"localhost", listens_at.casefold()}
    network = not _is_loopback(listens_at)
    if network:
        known.add(socket.gethostname().casefold())

    def guarded(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        host = _host(environ.get("HTTP_HOST", ""))
        if host in known or _is_loopback(host) or (network and _is_address(host)):
            return site(environ, start_response)
        start_response(
            "403 Forbidden",
            [("Content-Type", "text/plain; charset=utf-8"), ("Content-Length", str(len(_REFUSED)))],
        )
        return [_REFUSED]

    return guarded


def _host(header: str) -> str:
    """Give the name in a Host header, without its port and brackets."""
    name = header.strip().casefold()
    if name.startswith("["):
        return name[1:].partition("]")[0]
    return name.partition(":")[0]


def _is_address(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def _is_loopback(host: str) -> bool:
    return host.casefold() == "localhost" or (_is_address(host) and ipaddress.ip_address(host).is_loopback)
