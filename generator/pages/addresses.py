"""The addresses a library ever published, kept in `content/addresses.lock` so that none of them dies.

One address a line, sorted, with its state, below the number of them:

    # addresses: 3
    /kn-03/left/ page
    /kn-04/ redirect /kn-06/
    /kn-05/ retired

A build that would drop an address fails and names the ways out. So does one that finds fewer lines than the number
says, or no lock at all: a lock that lost lines would let addresses die in silence. (After a merge that kept the lines
of both sides the larger number counts.) An editor may also write a `redirect` line by hand,
for a ladder, collection or prose page that got a new name; a page of its own always goes before such a line. The
left and right addresses of an exercise that has no sides any more lead to the exercise by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.output import OutputError, explained, write_atomically
from limberleaf.pages import SitePage

LOCK_FILE = "addresses.lock"
HEAD = (
    "# Every address this library has published. `limberleaf build` keeps this file; commit it with the entries.\n"
    "# To lead an old address to a page, write: /old/ redirect /new/\n"
)
MAX_BYTES = 1_000_000
"""A thousand exercises for two sides in three languages are some 300 kilobytes."""

MOST_FINDINGS = 30
"""A broken lock has one cause; more lines about it would hide the first."""

_COUNT = re.compile(r"# addresses: (?P<count>\d{1,9})")
_CONFLICT = re.compile(r"(<{7}|={7}|>{7}|\|{7})(\s|$)")
_LINE = re.compile(r"(?P<url>/\S*)\s+(?P<state>page|retired|redirect)(?:\s+(?P<target>/\S*))?")
_SAFE = re.compile(r"/(?:[a-z0-9][a-z0-9-]*/)*")

AddressState = Literal["page", "retired", "redirect"]


@dataclass(frozen=True)
class Address:
    """What is at an address; `target` is where a redirect leads. Both begin and end with a slash."""

    state: AddressState
    target: str = ""

    def __str__(self) -> str:
        return f"{self.state} {self.target}".strip()


Addresses = Mapping[str, Address]


@dataclass(frozen=True)
class LockComparison:
    """What the lock has to say about a build: findings, redirects to add, and the lock's new text."""

    findings: tuple[Finding, ...]
    redirects: Mapping[str, str]
    """From an address to where it leads, for addresses without a page of their own."""
    new_lock: str


def addresses_of(pages: Iterable[SitePage]) -> dict[str, Address]:
    """Give what is at each address of a build; files such as 404.html are no addresses."""
    found: dict[str, Address] = {}
    for page in pages:
        if page.url.endswith(".html"):
            continue
        if page.kind == "redirect":
            found[f"/{page.url}"] = Address("redirect", f"/{page.go_to}")
        else:
            found[f"/{page.url}"] = Address("retired" if page.kind == "retired" else "page")
    return found


def compare(lock: str | None, addresses: Addresses) -> LockComparison:
    """Compare a build with the lock's text (None: there is none, which is an error; see `first_lock`)."""
    if lock is None:
        return LockComparison((_missing(),), {}, write_lock(addresses))
    locked, findings = _read(lock)
    ends = _Ends(addresses, locked)
    redirects: dict[str, str] = {}
    dropped: list[str] = []
    for url, (address, _) in locked.items():
        if url in addresses:
            continue
        target = address.target if address.state == "redirect" else _without_side(url, addresses)
        end = ends.of(target) if target else None
        if end:
            redirects[url] = end
        else:
            dropped.append(url)
    findings += _dropped(dropped, locked, addresses)
    every = {
        **{url: address for url, (address, _) in locked.items()},
        **addresses,
        **{url: Address("redirect", locked[url][0].target or target) for url, target in redirects.items()},
    }
    return LockComparison(tuple(_at_most(findings)), redirects, write_lock(every))


def compare_file(
    content: Path, addresses: Addresses, *, publishing: bool = True
) -> tuple[LockComparison, bytes | None]:
    """Compare a build with the lock of a content folder; give its bytes too, for `LockFile.replace`.

    A copy that is not published (`publishing` is false) needs no lock.
    """
    try:
        data = LockFile(content).read()
    except OutputError as error:
        finding = Finding(
            "error", "cannot-read", str(error), "A build needs it to keep old links alive.", Place(LOCK_FILE)
        )
        return LockComparison((finding,), {}, write_lock(addresses)), None
    text = first_lock() if data is None and not publishing else lock_text(data)
    return compare(text, addresses), data


def first_lock() -> str:
    """Give the lock of a library that has published nothing yet."""
    return write_lock({})


def write_lock(addresses: Addresses) -> str:
    """Write the lock: sorted, one address a line."""
    count = f"# addresses: {len(addresses)}\n"
    return HEAD + count + "".join(f"{url} {addresses[url]}\n" for url in sorted(addresses))


class LockFile:
    """`addresses.lock` on the disk."""

    def __init__(self, content: Path) -> None:
        """Name the lock of a content folder."""
        self.path = content / LOCK_FILE

    def read(self) -> bytes | None:
        """Give its bytes; None when there is none. Raises OutputError when it cannot be read or is too large."""
        try:
            if self.path.is_dir():
                raise OutputError(
                    f"{self.path} is a folder. Take {LOCK_FILE} back from your version history."
                )
            with self.path.open("rb") as file:
                data = file.read(MAX_BYTES + 1)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise explained(error, self.path) from None
        if len(data) > MAX_BYTES:
            raise OutputError(
                f"{self.path} holds more than {MAX_BYTES / 1e6:.0f} MB, which no list of addresses does. Take it back "
                "from your version history."
            )
        return data

    def write_first(self) -> None:
        """Write the lock of a library that has published nothing yet; raise OutputError when there is one."""
        if self.path.exists():
            raise OutputError(f"{self.path} exists: this library was published before. Leave out --first.")
        with _explaining(self.path):
            write_atomically(self.path, first_lock().encode())

    def replace(self, before: bytes | None, text: str) -> Callable[[], None]:
        """Write `text` in place of `before`, and give the way back; nothing is written when they are the same."""
        if self.read() != before:
            raise OutputError(
                f"{self.path} changed while the site was made. Build again; nothing was published."
            )
        if before == text.encode():
            return lambda: None
        with _explaining(self.path):
            write_atomically(self.path, text.encode())
        return lambda: self._put_back(before)

    def _put_back(self, before: bytes | None) -> None:
        if before is None:
            self.path.unlink(missing_ok=True)
        else:
            write_atomically(self.path, before)


@contextmanager
def _explaining(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise explained(error, path) from None


def lock_text(data: bytes | None) -> str | None:
    """Give the lock as text; bytes that are none become characters no address has."""
    return None if data is None else data.decode("utf-8-sig", errors="replace")


def _read(lock: str) -> tuple[dict[str, tuple[Address, int]], list[Finding]]:
    locked: dict[str, tuple[Address, int]] = {}
    findings: list[Finding] = []
    counts: list[int] = []
    for number, line in enumerate(lock.splitlines(), 1):
        text = line.strip()
        if count := _COUNT.fullmatch(text):
            counts.append(int(count["count"]))
        if not text or text.startswith("#"):
            continue
        match = _LINE.fullmatch(text)
        if match and _is_sound(match):
            address = Address(match["state"], match["target"] or "")  # type: ignore[arg-type]
            findings += _take(locked, match["url"], address, number)
        elif _CONFLICT.match(text):
            findings.append(_conflict(text, number))
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
    if not counts or len(locked) < max(counts):
        findings.insert(0, _short(len(locked), max(counts, default=0)))
    return locked, findings


def _take(
    locked: dict[str, tuple[Address, int]], url: str, address: Address, number: int
) -> Iterator[Finding]:
    """File a line. After a merge an address may be there twice; a redirect says more than a state a build works out."""
    before = locked.get(url)
    if before is None or before[0].state != "redirect":
        locked[url] = (address, number)
    elif address.state == "redirect" and address.target != before[0].target:
        yield Finding(
            "error",
            "address-twice",
            f"{url} is led to {before[0].target} on line {before[1]} and to {address.target} here.",
            "Keep one of the two lines.",
            Place(LOCK_FILE, number, 1),
        )


def _missing() -> Finding:
    return Finding(
        "error",
        "address-lock-missing",
        f"{LOCK_FILE} is missing: without it nothing keeps the addresses that sheets and links out there carry.",
        f"Take it back from your version history (git checkout HEAD -- content/{LOCK_FILE}). If this library was never "
        "published, `limberleaf build --first` begins one.",
        Place(LOCK_FILE),
    )


def _short(found: int, stated: int) -> Finding:
    what = (
        f"{LOCK_FILE} lists {found} of its {stated} addresses: lines were lost."
        if stated
        else f"{LOCK_FILE} does not say how many addresses it holds: its head was lost."
    )
    return Finding(
        "error",
        "address-lock-short",
        what,
        "Take the file back from your version history; after a merge keep the lines of both sides. If a line must "
        f"go and its address was never given to anybody, correct the number: # addresses: {found}",
        Place(LOCK_FILE, 1, 1),
    )


def _conflict(text: str, number: int) -> Finding:
    return Finding(
        "error",
        "merge-conflict",
        f"A merge stopped here: “{text[:40]}”.",
        "Delete the lines that begin with <<<<<<<, ||||||| , ======= and >>>>>>>, and keep the lines of both sides; "
        "the next build sorts them. A `merge=union` line for this file in .gitattributes does that by itself.",
        Place(LOCK_FILE, number, 1),
    )


def _at_most(findings: list[Finding]) -> list[Finding]:
    if len(findings) <= MOST_FINDINGS:
        return findings
    last = findings[MOST_FINDINGS]
    more = Finding(
        last.severity,
        last.code,
        f"{len(findings) - MOST_FINDINGS} more like these.",
        "Mend the first ones and build again.",
        last.place,
    )
    return [*findings[:MOST_FINDINGS], more]


def _is_sound(match: re.Match[str]) -> bool:
    named = [match["url"], *([match["target"]] if match["target"] else [])]
    return all(_SAFE.fullmatch(one) for one in named) and (match["state"] == "redirect") == bool(
        match["target"]
    )


def _without_side(url: str, addresses: Addresses) -> str | None:
    whole = re.sub(r"(?<=/)(left|right)/$", "", url)
    return whole if whole != url and whole in addresses else None


class _Ends:
    """Where redirects end; each is followed once, however long the chain."""

    def __init__(self, addresses: Addresses, locked: Mapping[str, tuple[Address, int]]) -> None:
        self._addresses, self._locked = addresses, locked
        self._known: dict[str, str | None] = {}

    def of(self, target: str) -> str | None:
        """Give the page a redirect to `target` ends at; None when it leads nowhere or in a ring."""
        passed: dict[str, None] = {}
        end: str | None = None
        while target not in passed:
            if target in self._known:
                end = self._known[target]
                break
            here = self._addresses.get(target) or (
                self._locked[target][0] if target in self._locked else None
            )
            if here is None or here.state != "redirect":
                end = target if target in self._addresses else None
                break
            passed[target] = None
            target = here.target
        self._known.update(dict.fromkeys(passed, end))
        return end


def _dropped(
    urls: list[str], locked: Mapping[str, tuple[Address, int]], addresses: Addresses
) -> list[Finding]:
    groups: dict[str, list[str]] = {}
    for url in urls:
        groups.setdefault(re.sub(r"(left|right)/$", "", url), []).append(url)
    found = [
        _dropped_finding(base, group, locked, addresses)
        for base, group in list(groups.items())[: MOST_FINDINGS + 1]
    ]
    return found + found[-1:] * (len(groups) - len(found))  # only counted: looking for a near name takes long


def _dropped_finding(
    base: str, group: list[str], locked: Mapping[str, tuple[Address, int]], addresses: Addresses
) -> Finding:
    address, line = locked[group[0]]
    place = Place(LOCK_FILE, line, 1)
    if address.state == "redirect":
        pages = [url for url, one in addresses.items() if one.state == "page"]
        return Finding(
            "error",
            "redirect-leads-nowhere",
            f"{group[0]} should lead to {address.target}, where there is no page.",
            f"Name a page that exists. {did_you_mean(address.target, pages)}",
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
