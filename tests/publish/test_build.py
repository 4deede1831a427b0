"""Building: the same bytes every time and by every way, whole or not at all."""

from __future__ import annotations

import re
import shutil
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

import pytest
from approved import record
from conftest import Demo, call, run, tree
from PIL import Image

from limberleaf.figures import KIND as FIGURES
from limberleaf.publish.plain import write_site
from limberleaf.store import Store
from limberleaf.store.results import FILE, FOLDER


def assert_same(one: dict[str, bytes], other: dict[str, bytes]) -> None:
    assert sorted(one) == sorted(other)
    assert [path for path, data in one.items() if other[path] != data] == []


def test_the_same_input_gives_the_same_bytes_with_and_without_mkdocs(demo: Demo, tmp_path: Path) -> None:
    """Another process, another hash seed, no kept page, another writer and another day.

    Figures are kept, for they take longer than all else: the next test draws again, and tests/diagrams/golden holds
    what other processes drew.
    """
    shutil.copytree(demo.content, tmp_path / "content")
    store = Store(tmp_path / "kept" / FILE)
    store.keep(Store(demo.project / FOLDER / FILE).all_of(FIGURES), FIGURES)
    store.save()
    pages, _ = write_site(
        tmp_path / "content", tmp_path / "site", today=date(2027, 3, 1), cache=tmp_path / "kept"
    )
    assert pages > 100
    assert_same(tree(tmp_path / "site"), tree(demo.site))


def test_the_same_input_gives_the_same_bytes_when_nothing_is_kept(starter: Path, tmp_path: Path) -> None:
    shutil.rmtree(starter / FOLDER)
    built = run(["limberleaf", "build"], starter, PYTHONHASHSEED="1")
    assert built.returncode == 0, built.stdout + built.stderr
    pages, _ = write_site(starter / "content", tmp_path / "site", today=date(2027, 3, 1), cache=None)
    assert pages > 10
    assert_same(tree(tmp_path / "site"), tree(starter / "site"))


@pytest.mark.parametrize("host", ["mkdocs", "properdocs"])
def test_a_strict_build_of_the_demo_passes_and_gives_the_same_site(
    demo: Demo, tmp_path: Path, host: str
) -> None:
    shutil.copytree(demo.project, tmp_path / "library", ignore=shutil.ignore_patterns("site"))
    built = run([host, "build", "--strict", "-f", "mkdocs.yml"], tmp_path / "library", PYTHONHASHSEED="2")
    assert built.returncode == 0, built.stdout + built.stderr
    assert "WARNING" not in built.stdout + built.stderr
    assert_same(tree(tmp_path / "library" / "site"), tree(demo.site))


def test_an_exercise_page_is_whole_in_the_default_theme(demo: Demo, tmp_path: Path) -> None:
    library = tmp_path / "library"
    shutil.copytree(demo.project, library, ignore=shutil.ignore_patterns("site"))
    settings = (library / "mkdocs.yml").read_text("utf-8")
    (library / "mkdocs.yml").write_text(settings.replace("name: limberleaf", "name: mkdocs"), "utf-8")
    built = run(["mkdocs", "build"], library)
    assert built.returncode == 0, built.stderr
    own, guest = (words(site / "kn-03/left/index.html") for site in (demo.site, library / "site"))
    inside = own[own.index("Straighten your knee in sitting") :]
    missing = [word for word in dict.fromkeys(inside) if word not in guest]
    assert missing == []
    assert (library / "site/kn-03/left/index.html").read_text("utf-8").count("<svg") >= 2


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.main = False
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.main = self.main or tag == "h1"

    def handle_endtag(self, tag: str) -> None:
        self.main = self.main and tag != "main"

    def handle_data(self, data: str) -> None:
        if self.main and data.strip():
            self.found.append(" ".join(data.split()))


def words(page: Path) -> list[str]:
    parser = _Words()
    parser.feed(page.read_text("utf-8"))
    return parser.found


def test_a_failing_build_leaves_the_published_folder_as_it_was(starter: Path) -> None:
    assert run(["limberleaf", "build"], starter).returncode == 0
    before = tree(starter / "site")
    entry = starter / "content/exercises/knee/kn-02.yml"
    entry.write_text(entry.read_text("utf-8").replace("kind: strength", "kind: power"), "utf-8")
    for way, command in (
        (run, ["limberleaf", "build"]),
        (run, ["mkdocs", "build"]),
        (call, ["limberleaf", "build", "--plain"]),
    ):
        failed = way(command, starter)
        output = failed.stdout + failed.stderr
        assert failed.returncode == 1
        assert "kn-02.yml:6:7" in output
        assert "Traceback" not in output
        assert tree(starter / "site") == before
    assert [path.name for path in starter.iterdir() if path.name.startswith(".site")] == []


@pytest.mark.parametrize("host", ["mkdocs", "properdocs"])
@pytest.mark.parametrize("theme", ["limberleaf", "mkdocs"])
def test_a_file_at_an_address_of_ours_gives_way_and_is_reported(starter: Path, host: str, theme: str) -> None:
    """MkDocs calls it deprecated to lay one file over another: as an error it would stop the build."""
    taken = starter / "content/pages/assets/site.css"
    taken.parent.mkdir()
    taken.write_text("not ours", "utf-8")
    settings = (starter / "mkdocs.yml").read_text("utf-8")
    (starter / "mkdocs.yml").write_text(settings.replace("name: limberleaf", f"name: {theme}"), "utf-8")
    strict = f"error::DeprecationWarning:{host}.structure.files"
    built = run(["python", "-W", strict, "-m", host, "build", "-f", "mkdocs.yml"], starter)
    assert built.returncode == 0, built.stdout + built.stderr
    assert "pages/assets/site.css is left out" in built.stdout + built.stderr
    assert (starter / "site/assets/site.css").read_text("utf-8") != "not ours"


def test_an_offline_copy_names_files(starter: Path) -> None:
    built = call(["limberleaf", "build", "--offline"], starter)
    assert built.returncode == 0, built.stderr
    site = starter / "site-offline"
    assert (site / "kn-02/left/index.html").is_file()
    assert dead_links(site, directory_file="") == []


def test_every_link_of_the_demo_leads_somewhere(demo: Demo) -> None:
    assert dead_links(demo.site, directory_file="index.html") == []


def dead_links(site: Path, directory_file: str) -> list[str]:
    """Name links inside the site that lead to no file; a link to a folder leads to its `directory_file`."""
    dead = []
    for page in sorted(site.rglob("*.html")):
        if page.name == "404.html":  # served at any address, so its links start at the root
            continue
        for link in re.findall(r' (?:href|src)="([^"#?]+)', page.read_text("utf-8")):
            if link.startswith(("http:", "https:", "tel:", "mailto:")):
                continue
            target = page.parent / unquote(link)
            if link.endswith("/") or link in (".", ".."):
                target /= directory_file
            if not target.is_file():
                dead.append(f"{page.relative_to(site)}: {link}")
    return dead


def test_a_broken_store_does_no_harm(starter: Path) -> None:
    assert call(["limberleaf", "build", "--plain"], starter).returncode == 0
    before = tree(starter / "site")
    (starter / ".limberleaf/results.sqlite").write_bytes(b"not a database" * 100)
    assert call(["limberleaf", "build", "--plain"], starter).returncode == 0
    assert tree(starter / "site") == before


def test_share_pictures_are_beside_pages_that_name_them(starter: Path) -> None:
    """The Open Graph protocol (ogp.me): og:title, og:type, og:image and og:url, the image by its whole address."""
    clinic = starter / "content/clinic.yml"
    clinic.write_text(clinic.read_text("utf-8") + "share_pictures: true\n", "utf-8")
    record(starter / "content")
    assert call(["limberleaf", "build", "--plain"], starter).returncode == 0
    site = starter / "site"
    for url in ("kn-01/", "kn-02/left/", "ladders/knee-first-steps/", "collections/stiff-knee/"):
        page = (site / url / "index.html").read_text("utf-8")
        for name in ("og:title", "og:type", "og:url"):
            assert f'<meta property="{name}" content="' in page
        assert f'<meta property="og:image" content="https://exercises.example.org/{url}share.png">' in page
        with Image.open(site / url / "share.png") as picture:
            assert picture.size == (1200, 630)
    assert "og:image" not in (site / "get-help/index.html").read_text("utf-8")
    before = tree(site)
    assert call(["limberleaf", "build", "--plain"], starter).returncode == 0
    assert tree(site) == before
