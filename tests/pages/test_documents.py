"""Every page of the demo site as a document: valid HTML, landmarks, one heading of the first level, nothing inline."""

from __future__ import annotations

import gzip
import re
from functools import cache
from html import unescape
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest
from conftest import Demo

HTML = "{http://www.w3.org/1999/xhtml}"


@cache
def parsed(site: Path) -> dict[str, Element]:
    """Parse every page with html5lib, which follows the HTML standard; strict mode raises at the first error."""
    return {
        file.relative_to(site).as_posix(): html5lib.HTMLParser(strict=True).parse(file.read_text("utf-8"))
        for file in sorted(site.rglob("*.html"))
    }


@pytest.fixture(scope="module")
def documents(demo: Demo) -> dict[str, Element]:
    return parsed(demo.site)


def elements(root: Element, *names: str) -> list[Element]:
    wanted = {HTML + name for name in names}
    return [element for element in root.iter() if element.tag in wanted]


def words(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_every_page_is_valid_html(documents: dict[str, Element]) -> None:
    assert len(documents) > 100


def test_every_page_has_its_landmarks_and_one_first_heading(documents: dict[str, Element]) -> None:
    for path, root in documents.items():
        html = elements(root, "html")[0]
        assert html.get("lang"), path
        assert html.get("dir") in {"ltr", "rtl"}, path
        assert len(elements(root, "h1")) == 1, path
        assert len(elements(root, "main")) == 1, path
        body = elements(root, "body")[0]
        assert [child.tag.removeprefix(HTML) for child in body] == ["a", "header", "main", "footer"], path
        skip = body[0]
        assert skip.get("href") == "#" + str(elements(root, "main")[0].get("id")), path
        assert words(elements(root, "title")[0]), path


def test_headings_never_skip_a_level(documents: dict[str, Element]) -> None:
    for path, root in documents.items():
        levels = [int(one.tag[-1]) for one in elements(root, "h1", "h2", "h3", "h4", "h5", "h6")]
        assert levels[0] == 1, path
        assert all(after <= before + 1 for before, after in pairwise(levels)), path


def test_nothing_is_inline_and_nothing_comes_from_elsewhere(demo: Demo) -> None:
    for file in demo.site.rglob("*.html"):
        text = file.read_text("utf-8")
        policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
        assert policy, file
        assert unescape(policy[1]).startswith("default-src 'none';"), file
        assert "unsafe" not in policy[1], file
        assert not re.search(r"<[^>]+\s(style|on[a-z]+)=", text), file
        assert "<style" not in text, file
        for script in re.findall(r"<script[^>]*>", text):
            assert "src=" in script or script == '<script type="application/ld+json">', (
                file
            )  # data is never run
        loads = re.findall(r'<(?:script|img|link rel="(?:stylesheet|icon)")[^>]*(?:src|href)="([^"]+)"', text)
        assert loads, file
        assert not [address for address in loads if "//" in address or address.startswith("data:")], file


def test_ids_are_unique_and_what_points_to_them_finds_them(documents: dict[str, Element]) -> None:
    pointers = ("for", "aria-labelledby", "aria-describedby", "aria-controls")
    for path, root in documents.items():
        ids = [one.get("id") for one in root.iter() if one.get("id")]
        assert len(ids) == len(set(ids)), path
        for one in root.iter():
            for pointer in pointers:
                for name in (one.get(pointer) or "").split():
                    assert name in ids, (path, pointer, name)


def test_no_blank_is_left_unfilled(documents: dict[str, Element]) -> None:
    for path, root in documents.items():
        left = re.findall(r"\{[a-z_]+\}|\[\[", words(elements(root, "main")[0]))
        assert left == [], path


QUALIFIED = {
    "en": "qualified physiotherapist",
    "nl": "gekwalificeerde fysiotherapeut",
    "ar": "اختصاصي علاج طبيعي مؤهل",
}


def test_every_page_defers_to_qualified_practice_and_the_local_emergency_route(demo: Demo) -> None:
    for file in demo.site.rglob("*.html"):
        text = file.read_text("utf-8")
        language = re.search(r'<html lang="([a-z]{2})"', text)
        assert language, file
        assert QUALIFIED[language[1]] in text, file
        assert 'href="tel:999"' in text, file


def test_every_page_names_its_address_once_and_for_all(demo: Demo) -> None:
    for file in demo.site.rglob("index.html"):
        text = file.read_text("utf-8")
        canonical = re.findall(r'<link rel="canonical" href="([^"]+)">', text)
        assert len(canonical) == 1, file
        if 'http-equiv="refresh"' not in text:
            path = file.parent.relative_to(demo.site).as_posix()
            assert canonical[0] == "https://exercises.quillmere.example/" + (
                "" if path == "." else f"{path}/"
            )


def packed(*files: Path) -> int:
    return sum(len(gzip.compress(file.read_bytes(), 9)) for file in files)


def test_an_exercise_page_is_light(demo: Demo) -> None:
    """The bars of the design: a page with all it loads under 60 kB, style under 12 kB, script under 15 kB."""
    pages = sorted(demo.site.glob("[a-z][a-z]-[0-9][0-9]/**/index.html"))
    assert len(pages) > 80
    for file in pages:
        text = file.read_text("utf-8")
        loads = {
            (file.parent / address.split("?")[0]).resolve()
            for address in re.findall(
                r'<(?:script|img|link rel="stylesheet")[^>]*(?:src|href)="([^"]+)"', text
            )
        }
        assert packed(file, *loads) < 60_000, file
        assert packed(*(one for one in loads if one.suffix == ".css")) < 12_000
        assert packed(*(one for one in loads if one.suffix == ".js")) < 15_000
