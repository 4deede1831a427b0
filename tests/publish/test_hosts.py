"""Under MkDocs and ProperDocs: strict builds pass, and what `mkdocs.yml` states is honoured or said."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import call, run

HOSTS = pytest.mark.parametrize("host", ["mkdocs", "properdocs"])


def settings(project: Path, old: str, new: str) -> None:
    file = project / "mkdocs.yml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), "utf-8")


@HOSTS
def test_a_strict_build_of_a_fresh_library_passes_without_a_warning(starter: Path, host: str) -> None:
    built = run([host, "build", "--strict", "-f", "mkdocs.yml"], starter)
    assert built.returncode == 0, built.stdout + built.stderr
    assert "WARNING" not in built.stdout + built.stderr
    assert (starter / "site/kn-02/left/index.html").is_file()
    assert "<loc>" in (starter / "site/sitemap.xml").read_text("utf-8")


@HOSTS
def test_a_strict_build_with_a_warning_publishes_nothing(starter: Path, host: str) -> None:
    assert run([host, "build", "--strict", "-f", "mkdocs.yml"], starter).returncode == 0
    before = {file: file.read_bytes() for file in (starter / "site").rglob("*") if file.is_file()}
    settings(starter, "plugins:", "nav: [nowhere.md]\nplugins:")
    assert run([host, "build", "--strict", "-f", "mkdocs.yml"], starter).returncode == 1
    assert before == {file: file.read_bytes() for file in (starter / "site").rglob("*") if file.is_file()}
    assert [path.name for path in starter.iterdir() if path.name.startswith(".site")] == []


@pytest.mark.parametrize("command", [["mkdocs", "build"], ["limberleaf", "build"], ["limberleaf", "check"]])
def test_two_addresses_of_one_site_are_an_error_that_shows_both_lines(
    starter: Path, command: list[str]
) -> None:
    """Links would lead to one address while the pages stand at the other."""
    settings(
        starter, "site_url: https://exercises.example.org/", "site_url: https://other.example.org/library/"
    )
    done = (call if command[-1] == "check" else run)(command, starter)
    output = done.stdout + done.stderr
    assert done.returncode == 1, output
    assert "clinic.yml line 10 says https://exercises.example.org/" in output
    assert "mkdocs.yml line 2 says https://other.example.org/library/" in output
    assert not (starter / "site").exists()


def test_a_last_slash_or_capitals_of_the_host_make_no_other_address(starter: Path) -> None:
    settings(starter, "https://exercises.example.org/", "https://Exercises.Example.org")
    done = call(["limberleaf", "check", "--strict"], starter)
    assert "site-address-differs" not in done.stdout + done.stderr


def test_a_style_sheet_of_the_clinic_is_linked_last_on_every_page(starter: Path) -> None:
    style = starter / "content/pages/css/ours.css"
    style.parent.mkdir()
    style.write_text(":root { --accent: #123 }\n", "utf-8")
    settings(starter, "plugins:", "extra_css: [css/ours.css]\nplugins:")
    built = run(["mkdocs", "build", "--strict"], starter)
    assert built.returncode == 0, built.stdout + built.stderr
    assert (starter / "site/css/ours.css").read_text("utf-8") == style.read_text("utf-8")
    for page, link in (("index.html", "css/ours.css"), ("kn-02/left/index.html", "../../css/ours.css")):
        html = (starter / "site" / page).read_text("utf-8")
        assert html.index(f'<link rel="stylesheet" href="{link}">') > html.index("assets/site")


@pytest.mark.parametrize(
    ("line", "code", "place"),
    [
        ("extra_css: [css/none.css]", "style-missing", "mkdocs.yml:6:13"),
        ("extra_css: ['https://fonts.example.org/a.css']", "style-from-elsewhere", "mkdocs.yml:6:13"),
        ("extra_javascript: [{path: ours.js, defer: true}]", "script-not-loaded", "mkdocs.yml:6:27"),
    ],
)
def test_what_no_page_honours_is_reported_at_its_line(
    starter: Path, line: str, code: str, place: str
) -> None:
    settings(starter, "plugins:", f"{line}\nplugins:")
    output = call(["limberleaf", "check"], starter).stdout
    assert f"{place} " in output
    assert f"[{code}]" in output
