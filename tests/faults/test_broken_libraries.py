"""A library that is valid by construction, broken in one or two places: findings, never a traceback, never half a site.

The starter library is read into values, one of them is changed (or the text itself is), and the file is written again.
The gate tries fifty such libraries; `pytest --hypothesis-profile=search` on this file tries two
thousand, others each time. What is hard to read is kept as a file in `corpus/`, whose name says where it goes.
"""

from __future__ import annotations

import copy
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from handouts.conftest import Legs
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from limberleaf.checks import check_library
from limberleaf.figures import Figures
from limberleaf.findings import Finding
from limberleaf.library import load_library
from limberleaf.library.load import ReadCache
from limberleaf.pages import SiteContext
from limberleaf.pages.site import site_pages
from limberleaf.starter import starter_files
from limberleaf.store import Store

TODAY = date(2026, 10, 1)
CORPUS = Path(__file__).with_name("corpus")
FILES = {
    path.removeprefix("content/"): text
    for path, text in starter_files().items()
    if path.startswith("content/")
}
ENTRIES = sorted(path for path in FILES if path.endswith(".yml"))
Step = str | int


class Workshop:
    """A copy of the starter library to break; what was read or drawn once is kept."""

    def __init__(self, folder: Path) -> None:
        self._content = folder / "content"
        self._store = Store()
        self._figures, self._read = Figures(self._store), ReadCache(self._store)
        for path, text in FILES.items():
            self._write(path, text.encode())

    def _write(self, path: str, data: bytes) -> None:
        file = self._content / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)

    def findings(self, path: str, data: bytes) -> list[Finding]:
        """Check the library with that one file; without an error every page of it must be made, too."""
        self._write(path, data)
        try:
            library = load_library(self._content, self._read)
            found = check_library(library, TODAY, store=self._store, figures=self._figures)
            if library.clinic is not None and all(one.severity != "error" for one in found):
                for page in site_pages(SiteContext(library, Legs())):
                    assert page.body()
            return found
        finally:
            if path in FILES:
                self._write(path, FILES[path].encode())
            else:
                (self._content / path).unlink()


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    return Workshop(tmp_path_factory.mktemp("workshop"))


def told(findings: list[Finding]) -> None:
    """Each finding says what, where and what to do, in text that can be printed."""
    for one in findings:
        assert one.code and one.message and one.place.path
        f"{one.message} {one.hint} {one.place}".encode()


def steps_to(value: Any, here: tuple[Step, ...] = ()) -> list[tuple[Step, ...]]:
    """List the places of a value and of all that is in it."""
    inside: list[tuple[Step, Any]] = []
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    return [here] * bool(here) + [way for step, one in inside for way in steps_to(one, (*here, step))]


JUNK = st.one_of(
    st.sampled_from(
        [
            None, "", " ", True, 0, -1, 10**30, 0.1, float("inf"), [], {}, [[]], {"": ""}, {"a": {"b": []}},
            "{affected}", "{", "}", "{nobody}", "[[kn-01]]", "[[", "kn-01", "kn-99", "left", "8-12", "12-8",
            "0-0", "3 s", "9999999999 s", "-", "2026-13-45", "0001-01-01", "<script>", "&amp;", "a" * 5000,
            "word " * 900, "\u202e\u2066", "\u0000", "e\u0301" * 40, "١٢", "½", "\ud83e", "https://[::1", "tel:",
            "- x", "#", ":", "*a", "&a", "!!x", "%", "\t", "\r\n\u2028",
        ]
    ),
    st.text(max_size=40),
    st.integers(),
    st.lists(st.text(max_size=5), max_size=3),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=3),
)  # fmt: skip


@st.composite
def broken_values(draw: st.DrawFn) -> tuple[str, bytes]:
    """Give a file of the library with one or two of its values changed, taken away, doubled or put elsewhere."""
    path = draw(st.sampled_from(ENTRIES))
    value = copy.deepcopy(yaml.safe_load(FILES[path]))
    for _ in range(draw(st.integers(1, 2))):
        ways = steps_to(value)
        if not ways:
            break
        *above, last = draw(st.sampled_from(ways))
        holder = value
        for step in above:
            holder = holder[step]
        what = draw(st.sampled_from(["junk", "gone", "doubled", "moved", "renamed"]))
        if what == "gone":
            del holder[last]
        elif what == "doubled" and isinstance(holder, list):
            holder.append(copy.deepcopy(holder[last]))
        elif what == "renamed" and isinstance(holder, dict):
            holder[draw(st.text(max_size=8))] = holder.pop(last)
        elif what == "moved":
            value[draw(st.sampled_from(sorted(value)))] = copy.deepcopy(holder[last])
        else:
            holder[last] = draw(JUNK)
    text = yaml.safe_dump(value, allow_unicode=True, sort_keys=False)
    return path, text.encode("utf-8", "surrogatepass")


BYTES = (b"\n", b"  ", b"\t", b": ", b"- ", b"\xef\xbb\xbf", b"\r", b"\x85", b"'")


@st.composite
def broken_texts(draw: st.DrawFn) -> tuple[str, bytes]:
    """Give a file of the library with its text cut, doubled, or with something else put in."""
    path = draw(st.sampled_from(sorted(FILES)))
    data = FILES[path].encode()
    at = draw(st.integers(0, len(data)))
    end = draw(st.integers(at, min(len(data), at + 60)))
    put = draw(
        st.one_of(
            st.binary(max_size=6),
            st.text(max_size=6).map(lambda text: text.encode("utf-8", "replace")),
            st.sampled_from([b"", data[at:end] * 2, *BYTES]),
        )
    )  # fmt: skip
    return path, data[:at] + put + data[end:]


GATE = 25
"""Libraries of each kind that the gate tries; a search tries as many as its profile says."""
BROKEN = settings(
    max_examples=GATE if settings.default.max_examples == 100 else settings.default.max_examples,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def test_the_library_is_valid_before_it_is_broken(workshop: Workshop) -> None:
    assert workshop.findings("clinic.yml", FILES["clinic.yml"].encode()) == []


@BROKEN
@given(broken=broken_values())
def test_a_value_that_is_wrong_is_a_finding(workshop: Workshop, broken: tuple[str, bytes]) -> None:
    told(workshop.findings(*broken))


@BROKEN
@given(broken=broken_texts())
def test_a_text_that_is_wrong_is_a_finding(workshop: Workshop, broken: tuple[str, bytes]) -> None:
    told(workshop.findings(*broken))


@pytest.mark.parametrize("file", sorted(CORPUS.iterdir()), ids=lambda file: file.name)
def test_what_once_broke_something_is_a_finding(workshop: Workshop, file: Path) -> None:
    """A name such as `pages--deep.md` or `exercises--knee--kn-09.yml` says which file of the library it stands for."""
    found = workshop.findings(file.name.partition("__")[2].replace("--", "/"), file.read_bytes())
    told(found)
    assert any(one.severity == "error" for one in found)
