"""Addresses never die: the lock, its findings, and the redirects that stand in for pages that went."""

from __future__ import annotations

from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import pytest
from approved import record, starter_files
from conftest import run

from limberleaf.pages.addresses import Address, compare, first_lock, write_lock
from limberleaf.publish.plain import write_site

TODAY = date(2026, 10, 1)
PAGE = Address("page")
HEAD = first_lock()


def _locked(*urls: str) -> str:
    return write_lock(dict.fromkeys(urls, PAGE))


def test_a_first_build_writes_every_address_sorted_one_a_line() -> None:
    text = compare(
        first_lock(), {"/kn-10/": PAGE, "/": PAGE, "/kn-02/": Address("redirect", "/kn-10/")}
    ).new_lock
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert lines == ["/ page", "/kn-02/ redirect /kn-10/", "/kn-10/ page"]


def test_the_lock_is_the_same_in_whatever_order_the_pages_come() -> None:
    urls = [f"/kn-{number:02d}/" for number in range(40)]
    text = _locked(*urls)
    urls.reverse()
    assert compare(first_lock(), dict.fromkeys(urls, PAGE)).new_lock == text
    assert compare(text, dict.fromkeys(urls, PAGE)).new_lock == text


def test_a_dropped_exercise_is_one_error_that_names_its_addresses_line_and_ways_out() -> None:
    lock = _locked("/", "/kn-03/", "/kn-03/left/", "/kn-03/right/")
    (finding,) = compare(lock, {"/": PAGE}).findings
    assert (finding.severity, finding.code) == ("error", "address-dropped")
    assert "/kn-03/, /kn-03/left/ and /kn-03/right/" in finding.message
    assert lock.splitlines()[finding.place.line - 1] == "/kn-03/ page"
    for way in ("Restore", "replaced_by", "retired_because"):
        assert way in finding.hint


def test_a_dropped_page_may_be_led_elsewhere_in_the_lock_itself() -> None:
    lock = _locked("/", "/ladders/old/")
    (finding,) = compare(lock, {"/": PAGE, "/ladders/new/": PAGE}).findings
    assert "/ladders/old/ redirect /new-name/" in finding.hint
    corrected = lock.replace("/ladders/old/ page", "/ladders/old/ redirect /ladders/new/")
    compared = compare(corrected, {"/": PAGE, "/ladders/new/": PAGE})
    assert not compared.findings
    assert compared.redirects == {"/ladders/old/": "/ladders/new/"}
    assert "/ladders/old/ redirect /ladders/new/" in compared.new_lock


def test_a_hand_written_redirect_to_nowhere_or_in_a_ring_is_an_error() -> None:
    for lock in ("/a/ redirect /b/\n", "/a/ redirect /c/\n/c/ redirect /a/\n", "/a/ redirect /a/\n"):
        findings = compare(HEAD + lock, {"/": PAGE, "/bb/": PAGE}).findings
        assert {finding.code for finding in findings} == {"redirect-leads-nowhere"}


def test_a_redirect_through_others_ends_at_the_page() -> None:
    lock = "/a/ redirect /b/\n/b/ redirect /c/\n"
    assert compare(lock, {"/c/": PAGE}).redirects == {"/a/": "/c/", "/b/": "/c/"}


def test_sided_addresses_of_an_exercise_without_sides_lead_to_it() -> None:
    compared = compare(
        _locked("/kn-03/", "/kn-03/left/", "/nl/kn-03/right/"), {"/kn-03/": PAGE, "/nl/kn-03/": PAGE}
    )
    assert not compared.findings
    assert compared.redirects == {"/kn-03/left/": "/kn-03/", "/nl/kn-03/right/": "/nl/kn-03/"}


@pytest.mark.parametrize(
    "line",
    [
        "kn-03 page", "/kn-03/ gone", "/kn-03/ redirect", "/kn-03/ page /kn-04/",
        "/../etc/ redirect /kn-04/", "/kn-04/ redirect //elsewhere.example/", "/a/ redirect /b/\"onload=x/",
        "\x00\ufffd",
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_read_is_an_error_at_its_place(line: str) -> None:
    compared = compare(f"{HEAD}{line}\n", {"/kn-03/": PAGE, "/kn-04/": PAGE})
    assert [(f.code, f.severity, f.place.line) for f in compared.findings] == [("address-line", "error", 4)]


# --- through the build -----------------------------------------------------------------------------------------


@pytest.fixture
def library(tmp_path: Path) -> Path:
    for path, text in starter_files().items():
        file = tmp_path / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text.encode() if isinstance(text, str) else text)
    two = _exercise(tmp_path, "kn-02").read_text("utf-8")
    third = two.replace("code: kn-02", "code: kn-03").replace("title: ", "title: Third, ")
    (tmp_path / "content" / "exercises" / "knee" / "kn-03.yml").write_text(third, "utf-8")
    record(tmp_path / "content")
    return tmp_path


def _build(library: Path, name: str = "site", *, offline: bool = False) -> tuple[int, list[str]]:
    pages, findings = write_site(
        library / "content", library / name, today=TODAY, cache=None, name_files=offline
    )
    return pages, [finding.code for finding in findings if finding.severity == "error"]


def _lock(library: Path) -> str:
    return (library / "content" / "addresses.lock").read_text("utf-8")


def _exercise(library: Path, code: str) -> Path:
    (file,) = (library / "content").glob(f"exercises/**/{code}.yml")
    return file


def _edit(file: Path, old: str, new: str) -> None:
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), "utf-8")
    record(file.parents[2])


def test_a_build_keeps_every_address_and_an_offline_copy_leaves_the_lock_alone(library: Path) -> None:
    assert _build(library, "copy", offline=True)[0]
    assert _lock(library) == HEAD
    assert _build(library)[0]
    listed = [line.split()[0] for line in _lock(library).splitlines() if line.startswith("/")]
    assert {"/", "/kn-01/", "/kn-01/left/", "/get-help/"} <= set(listed)
    for url in listed:
        assert (library / "site" / url.strip("/") / "index.html").is_file()


def test_a_build_that_would_drop_an_address_leaves_site_and_lock_as_they_were(library: Path) -> None:
    _build(library)
    before, lock = sorted(library.glob("site/**/*")), _lock(library)
    _exercise(library, "kn-03").unlink()
    record(library / "content")
    pages, errors = _build(library)
    assert pages == 0
    assert errors == ["address-dropped"]
    assert (sorted(library.glob("site/**/*")), _lock(library)) == (before, lock)


class _Redirect(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.refresh = self.canonical = self.policy = ""
        self.links: list[str] = []
        self.inline = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.inline |= tag == "style" or "style" in given or (tag == "script" and "src" not in given)
        self.inline |= any(name.startswith("on") for name in given)
        if tag == "meta" and given.get("http-equiv", "").lower() == "refresh":
            self.refresh = given["content"].partition("url=")[2]
        if tag == "meta" and given.get("http-equiv") == "Content-Security-Policy":
            self.policy = given["content"]
        if tag == "link" and given.get("rel") == "canonical":
            self.canonical = given["href"]
        if tag == "a":
            self.links.append(given.get("href", ""))


@pytest.mark.parametrize("offline", [False, True])
def test_a_hand_written_redirect_becomes_a_plain_page_that_works_from_a_disk(
    library: Path, offline: bool
) -> None:
    _build(library)
    lock = library / "content" / "addresses.lock"
    lock.write_text(_lock(library) + "/old-sheet/deep/ redirect /kn-01/left/\n", "utf-8")
    assert _build(library, "out", offline=offline)[1] == []
    file = library / "out" / "old-sheet" / "deep" / "index.html"
    page = _Redirect()
    page.feed(file.read_text("utf-8"))
    here = file.as_uri() if offline else "https://x.example/old-sheet/deep/"
    goes = urljoin(here, page.refresh)
    assert goes in [urljoin(here, link) for link in page.links]
    assert page.canonical.endswith("/kn-01/left/")
    assert page.policy.startswith("default-src 'none'")
    assert not page.inline
    assert "unsafe" not in page.policy
    if offline:
        assert Path(urlsplit(goes).path).is_file()
    else:
        assert goes == "https://x.example/kn-01/left/"


def test_a_retired_exercise_leads_to_what_replaces_it_or_says_why_it_went(library: Path) -> None:
    _build(library)
    third = _exercise(library, "kn-03")
    _edit(third, "status: approved", "status: retired\nreplaced_by: kn-02")
    assert _build(library)[1] == []
    assert "/kn-03/ redirect /kn-02/" in _lock(library)
    assert "/kn-03/left/ redirect /kn-02/left/" in _lock(library)
    page = _Redirect()
    page.feed((library / "site/kn-03/left/index.html").read_text("utf-8"))
    assert urljoin("https://x.example/kn-03/left/", page.refresh) == "https://x.example/kn-02/left/"
    _edit(third, "replaced_by: kn-02", "retired_because: Safer ways to do this are known now.")
    assert _build(library)[1] == []
    assert "/kn-03/left/ retired" in _lock(library)
    gone_page = (library / "site/kn-03/index.html").read_text("utf-8")
    assert "Safer ways to do this are known now." in gone_page
    assert "01632" in gone_page


def test_an_exercise_that_loses_its_sides_keeps_its_left_and_right_addresses(library: Path) -> None:
    _build(library)
    third = _exercise(library, "kn-03")
    _edit(third, "sides: one", "sides: both")
    _edit(third, "{affected} ", "")
    assert _build(library)[1] == []
    assert "/kn-03/left/ redirect /kn-03/" in _lock(library)
    assert (library / "site/kn-03/left/index.html").is_file()
    _edit(third, "sides: both", "sides: one")
    assert _build(library)[1] == []
    assert "/kn-03/left/ page" in _lock(library)


def test_mkdocs_keeps_the_lock_too_and_a_preview_leaves_it_alone(library: Path) -> None:
    from limberleaf.publish.compose import SiteBuilder

    preview, _ = SiteBuilder(library / "content", None).compose(TODAY, preview=True)
    assert preview is not None
    assert _lock(library) == HEAD
    for theme in ("limberleaf", "mkdocs"):
        config = library / f"{theme}.yml"
        config.write_text(
            f"site_name: x\nsite_url: https://exercises.example.org/\ndocs_dir: content/pages\n"
            f"theme: {{name: {theme}}}\n"
            "plugins: [limberleaf]\n",
            "utf-8",
        )
        lock = library / "content" / "addresses.lock"
        lock.write_text(lock.read_text("utf-8") + f"/old-{theme}/ redirect /kn-01/\n", "utf-8")
        result = run(["limberleaf", "build", "-f", config.name, "-d", f"out-{theme}"], library)
        assert result.returncode == 0, result.stderr
        assert "/kn-01/left/ page" in _lock(library)
        assert f"/old-{theme}/ redirect /kn-01/" in _lock(library)
        page = (library / f"out-{theme}" / f"old-{theme}" / "index.html").read_text("utf-8")
        assert 'http-equiv="refresh"' in page
