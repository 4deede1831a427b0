"""A build with nothing to do leaves the site as it is and says what the last one said; anything else is built."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from approved import record
from click.testing import CliRunner, Result

from limberleaf.cli import main
from limberleaf.publish.unchanged import Folders, LastBuild, mkdocs_folders

UNCHANGED = "Nothing changed since the last build"


def build(*options: str) -> Result:
    result = CliRunner().invoke(main, ["build", "--plain", *options], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result


@pytest.fixture
def project(content: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library with a warning, built once."""
    monkeypatch.chdir(content.parent)
    entry = content / "exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8")
    entry.write_text(text.replace("Lower your foot slowly.", "Perform a rotation of your foot."), "utf-8")
    record(content)
    assert "warning" in build().output
    return content.parent


def test_the_second_build_leaves_the_site_and_prints_what_the_first_printed(project: Path) -> None:
    page = project / "site/kn-02/index.html"
    before = page.stat()
    again = build()
    assert UNCHANGED in again.output
    assert "noun-from-verb" in again.output
    assert (page.stat().st_ino, page.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_new_time_alone_is_no_change(project: Path) -> None:
    for file in (project / "content/clinic.yml", project / "site/kn-02/index.html"):
        os.utime(file, (1_000_000_000, 1_000_000_000))
    assert UNCHANGED in build().output
    assert UNCHANGED in build().output


def test_a_build_says_why_a_page_was_made_again_and_how_far_it_is(project: Path) -> None:
    entry = project / "content/exercises/knee/kn-02.yml"
    entry.write_text(entry.read_text("utf-8").replace("rotation of your foot", "turn of your foot"), "utf-8")
    record(project / "content")
    said = build("--explain", "kn-02", "--progress", "json")
    assert "kn-02/: made, because this changed: exercises kn-02" in said.stdout
    assert UNCHANGED not in said.stdout
    counts = [json.loads(line) for line in said.stderr.splitlines() if line.startswith("{")]
    pages = [one for one in counts if one["doing"] == "Making pages"]
    assert [one["done"] for one in pages] == sorted({one["done"] for one in pages})
    assert pages[-1]["done"] == pages[-1]["of"] > 5
    assert {"Checking", "Writing files"} <= {one["doing"] for one in counts}
    kept = build("--explain", "kn-01")
    assert "kn-01/: kept as it was" in kept.stdout
    assert "{" not in kept.stderr  # no terminal, nobody asked


def _edit(path: str, find: str = "", put: str = "") -> Callable[[Path], None]:
    def edit(project: Path) -> None:
        file = project / path
        text = file.read_text("utf-8")
        stamp = file.stat()
        assert find in text
        file.write_text(text.replace(find, put) if find else text + put, "utf-8")
        os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))  # an editor that keeps the time

    return edit


CHANGES: dict[str, Callable[[Path], None]] = {
    "a word of the same length": _edit(
        "content/exercises/knee/kn-02.yml", "rotation of your foot", "rotation of your shin"
    ),
    "a setting": _edit("content/clinic.yml", "01632 960171", "01632 960172"),
    "the lock": _edit("content/addresses.lock", put="/old/ redirect /kn-02/\n"),
    "a page of the site": _edit("site/kn-02/index.html", "foot", "shoe"),
    "a file gone from the site": lambda project: (project / "site/kn-01/index.html").unlink(),
    "an entry gone": lambda project: (project / "content/pages/about.md").rename(project / "about.md"),
    "a new file": lambda project: (
        (project / "content/pages/new.md").write_text(
            "---\ntitle: New\ndescription: New words.\n---\nNew words.\n", "utf-8"
        )
        and None
    ),
}


@pytest.mark.parametrize("what", CHANGES)
def test_whatever_changed_is_built(project: Path, what: str) -> None:
    CHANGES[what](project)
    result = CliRunner().invoke(main, ["build", "--plain"], catch_exceptions=False)
    assert UNCHANGED not in result.output
    assert ("pages in site" in result.output) == (result.exit_code == 0)


def test_another_day_is_another_build(project: Path) -> None:
    folders = Folders(project / "content", project / "site", project / ".limberleaf")
    assert LastBuild(folders, "plain").report(date.today()) is not None
    assert LastBuild(folders, "plain").report(date(2031, 1, 1)) is None  # by then reviews are overdue
    assert LastBuild(folders, "offline").report(date.today()) is None


SITE = "site_name: A\ntheme: {name: limberleaf}\ndocs_dir: content/pages\n"


@pytest.mark.parametrize(
    ("text", "known"),
    [
        (SITE + "plugins: [limberleaf]\n", True),
        (SITE + "plugins: [{limberleaf: {content: content}}]\n", True),
        (SITE + "plugins: [limberleaf, search]\n", False),
        (SITE + "plugins: [limberleaf]\nhooks: [mine.py]\n", False),
        (SITE + "plugins: [limberleaf]\nsite_dir: !ENV OUT\n", False),
        (SITE.replace("limberleaf", "mkdocs") + "plugins: [limberleaf]\n", False),
        (SITE.replace("content/pages", "docs") + "plugins: [limberleaf]\n", False),
        ("[", False),
    ],
)
def test_only_a_build_whose_files_are_all_known_may_be_left_out(
    tmp_path: Path, text: str, known: bool
) -> None:
    config = tmp_path / "mkdocs.yml"
    config.write_text(text, "utf-8")
    folders = mkdocs_folders(config, None)
    assert (folders is not None) == known
    if folders:
        assert (folders.content, folders.site) == (tmp_path / "content", tmp_path / "site")


def test_explain_says_why_a_page_was_made_or_kept(project: Path) -> None:
    entry = project / "content/exercises/knee/kn-02.yml"
    assert "kn-02/left/: kept as it was" in build("--explain", "kn-02").output
    entry.write_text(entry.read_text("utf-8").replace("title: ", "title: Now "), "utf-8")
    record(project / "content")
    output = build("--explain", "kn-01").output
    assert "kn-01/" in output
    assert "kn-02/" not in output
    assert "No page is named xx-99" in build("--explain", "xx-99").output
