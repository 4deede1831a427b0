"""The addresses a library ever published, kept in `content/addresses.lock` so that none of them dies.

One address a line, sorted, with its state:

    /kn-03/left/ page
    /kn-04/ redirect /kn-06/
    /kn-05/ retired

A build that would drop an address fails and names the ways out. An editor may also write a `redirect` line by hand,
for a ladder, collection or prose page that got a new name; a page of its own always goes before such a line. The
left and right addresses of an exercise that has no sides any more lead to the exercise by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.pages import SitePage

LOCK_FILE = "addresses.lock"
HEAD = (
    "# Every address this library has published. `limberleaf build` keeps this file; commit it with the entries.\n"
    "# To lead an old address to a page, write: /old/ redirect /new/\n"
)
_LINE = re.compile(r"(?P<url>/\S*)\s+(?P<state>page|retired|redirect)(?:\s+(?P<target>/\S*))?")
_SAFE = re.compile(r"/(?:[a-z0-9][a-z0-9-]*/)*")

State = Literal["page", "retired", "redirect"]


@dataclass(frozen=True)
class Address:
    """What stands at an address; `target` is where a redirect leads. Both begin and end with a slash."""

    state: State
    target: str = ""

    def __str__(self) -> str:
        return f"{self.state} {self.target}".strip()


Addresses = Mapping[str, Address]


@dataclass(frozen=True)
class Comparison:
    """What the lock has to say about a build: findings, redirects to add, and the lock's new text."""

    findings: tuple[Finding, ...]
    redirects: Mapping[str, str]
    """From an address to where it leads, for addresses without a page of their own."""
    new_lock: str


def addresses_of(pages: Iterable[SitePage]) -> dict[str, Address]:
    """Give what stands at each address of a build; files such as 404.html are no addresses."""
    found: dict[str, Address] = {}
    for page in pages:
        if page.url.endswith(".html"):
            continue
        if page.kind == "redirect":
            found[f"/{page.url}"] = Address("redirect", f"/{page.go_to}")
        else:
            found[f"/{page.url}"] = Address("retired" if page.kind == "retired" else "page")
    return found


def compare(lock: str, addresses: Addresses) -> Comparison:
    """Compare a build with the lock's text (empty: none yet)."""
    kept, findings = _read(lock)
    redirects: dict[str, str] = {}
    dropped: list[str] = []
    for url, (address, _) in kept.items():
        if url in addresses:
            continue
        target = address.target if address.state == "redirect" else _without_side(url, addresses)
        end = _end_of(target, addresses, kept) if target else None
        if end:
            redirects[url] = end
        else:
            dropped.append(url)
    findings += _dropped(dropped, kept, addresses)
    every = {
        **{url: address for url, (address, _) in kept.items()},
        **addresses,
        **{url: Address("redirect", kept[url][0].target or target) for url, target in redirects.items()},
    }
    return Comparison(tuple(findings), redirects, write_lock(every))


def write_lock(addresses: Addresses) -> str:
    """Write the lock: sorted, one address a line."""
    return HEAD + "".join(f"{url} {addresses[url]}\n" for url in sorted(addresses))


def _read(lock: str) -> tuple[dict[str, tuple[Address, int]], list[Finding]]:
    kept: dict[str, tuple[Address, int]] = {}
    findings = []
    for number, line in enumerate(lock.splitlines(), 1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        match = _LINE.fullmatch(text)
        if match and _is_sound(match):
            kept.setdefault(match["url"], (Address(match["state"], match["target"] or ""), number))  # type: ignore[arg-type]
        else:
            findings.append(
                Finding(
                    "error",
                    "address-line",
                    f"This line cannot be read: “{text[:80]}”.",
                    "Write an address and its state, such as “/kn-03/ page” or “/old/ redirect /new/”. "
                    "After a merge, keep the lines of both sides.",
                    Place(LOCK_FILE, number, 1),
                )
            )
    return kept, findings


def _is_sound(match: re.Match[str]) -> bool:
    named = [match["url"], *([match["target"]] if match["target"] else [])]
    return all(_SAFE.fullmatch(one) for one in named) and (match["state"] == "redirect") == bool(
        match["target"]
    )


def _without_side(url: str, addresses: Addresses) -> str | None:
    whole = re.sub(r"(?<=/)(left|right)/$", "", url)
    return whole if whole != url and whole in addresses else None


def _end_of(target: str, addresses: Addresses, kept: Mapping[str, tuple[Address, int]]) -> str | None:
    seen: set[str] = set()
    while target not in seen:
        seen.add(target)
        here = addresses.get(target) or (kept[target][0] if target in kept else None)
        if here is None:
            return None
        if here.state != "redirect":
            return target if target in addresses else None
        target = here.target
    return None


def _dropped(urls: list[str], kept: Mapping[str, tuple[Address, int]], addresses: Addresses) -> list[Finding]:
    groups: dict[str, list[str]] = {}
    for url in urls:
        groups.setdefault(re.sub(r"(left|right)/$", "", url), []).append(url)
    return [_dropped_finding(base, group, kept, addresses) for base, group in groups.items()]


def _dropped_finding(
    base: str, group: list[str], kept: Mapping[str, tuple[Address, int]], addresses: Addresses
) -> Finding:
    address, line = kept[group[0]]
    place = Place(LOCK_FILE, line, 1)
    if address.state == "redirect":
        pages = [url for url, one in addresses.items() if one.state == "page"]
        return Finding(
            "error",
            "redirect-leads-nowhere",
            f"{group[0]} should lead to {address.target}, where no page stands.",
            f"Name a page that stands. {did_you_mean(address.target, pages)}",
            place,
        )
    named = " and ".join(filter(None, [", ".join(group[:-1]), group[-1]]))
    return Finding(
        "error",
        "address-dropped",
        f"{named} would lead nowhere: the address was published, and sheets and links out there carry it.",
        _ways_out(base),
        place,
    )


def _ways_out(base: str) -> str:
    name = base.rstrip("/").rpartition("/")[2]
    if re.fullmatch(r"[a-z]{2,4}-[0-9]{2,3}", name):
        return (
            f"Restore {name} (its file, and status: approved). Or keep the file with status: retired and either "
            "replaced_by: the exercise to go to, or retired_because: the reason, in plain words. A translation "
            "that goes needs a line in addresses.lock that leads to another page: "
            f"{base} redirect /{name}/."
        )
    return (
        f"Restore the page, or lead the address to another one by changing its line in {LOCK_FILE}: "
        f"{base} redirect /new-name/."
    )
