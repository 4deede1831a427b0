"""What pages a library makes: retired entries, hostile words, prose, links in a subfolder and on a disk."""

from __future__ import annotations

import json
import re
from pathlib import Path

import html5lib
import pytest
from pages.fakes import PlainFigures

from limberleaf.library import load_library
from limberleaf.pages import SiteContext, SitePage, render_page, site_assets, site_pages
from limberleaf.pages.links import Links


def edit(content: Path, name: str, old: str, new: str) -> None:
    file = next(content.rglob(name))
    text = file.read_text("utf-8")
    assert re.search(old, text, flags=re.M), f"{name} has no {old}"
    file.write_text(re.sub(old, lambda _: new, text, count=1, flags=re.M), "utf-8")


def context_and_pages(content: Path, **options: bool) -> tuple[SiteContext, dict[str, SitePage]]:
    context = SiteContext(load_library(content), PlainFigures(), **options)  # type: ignore[arg-type]
    return context, {page.url: page for page in site_pages(context)}


def html(content: Path, url: str, **options: bool) -> str:
    context, pages = context_and_pages(content, **options)
    return render_page(pages[url], context)


def test_a_replaced_exercise_leads_on_without_a_script(content: Path) -> None:
    edit(content, "kn-02.yml", "^status: approved.*$", "status: retired\nreplaced_by: kn-01")
    _, pages = context_and_pages(content)
    assert pages["kn-02/"].kind == "redirect"
    text = html(content, "kn-02/")
    assert '<meta http-equiv="refresh" content="0; url=../kn-01/">' in text
    assert 'href="../kn-01/"' in text
    if "kn-01/left/" in pages:
        assert "url=../../kn-01/left/" in html(content, "kn-02/left/")


def test_an_exercise_taken_away_says_why_and_where_to_go(content: Path) -> None:
    edit(
        content,
        "kn-02.yml",
        "^status: approved.*$",
        "status: retired\nretired_because: It hurt more than it helped.",
    )
    text = html(content, "kn-02/")
    assert "It hurt more than it helped." in text
    assert "We no longer use this exercise." in text
    assert 'href="../collections/' in text
    assert 'href="tel:' in text
    assert "How much" not in text


def test_replacements_that_run_in_a_circle_end_in_a_page(content: Path) -> None:
    edit(content, "kn-01.yml", "^status: approved.*$", "status: retired\nreplaced_by: kn-02")
    edit(content, "kn-02.yml", "^status: approved.*$", "status: retired\nreplaced_by: kn-01")
    _, pages = context_and_pages(content)
    assert pages["kn-01/"].kind == pages["kn-02/"].kind == "retired"


def test_what_is_not_approved_has_no_page_but_shows_in_a_preview(content: Path) -> None:
    edit(content, "kn-02.yml", "^status: approved.*$", "status: draft")
    context, pages = context_and_pages(content)
    assert "kn-02/" not in pages
    assert "kn-02" not in render_page(pages[""], context)
    assert "Not approved yet." in html(content, "kn-02/", preview=True)


HOSTILE = '"<script>alert(1)</script><img src=x onerror=alert(2)>&amp; \\"quoted\\""'


def test_words_of_an_entry_never_become_markup(content: Path) -> None:
    edit(content, "kn-01.yml", "^title: .*$", f"title: {HOSTILE}")
    edit(content, "kn-01.yml", "^aim: .*$", f"aim: {HOSTILE}")
    context, pages = context_and_pages(content)
    for page in pages.values():
        root = html5lib.parse(render_page(page, context), namespaceHTMLElements=False)
        scripts = list(root.iter("script"))
        data = [one for one in scripts if one.get("type") == "application/ld+json"]
        assert all(
            isinstance(json.loads(one.text or ""), dict) and "<" not in (one.text or "") for one in data
        )
        assert all(
            (one.get("src") or "").endswith(".js") or "?v=" in str(one.get("src"))
            for one in scripts
            if one not in data
        )
        assert not [one for one in root.iter() if any(name.startswith("on") for name in map(str, one.keys()))]
        assert not [one for one in root.iter("img") if one.get("src") == "x"]
    heading = html5lib.parse(render_page(pages["kn-01/"], context), namespaceHTMLElements=False).find(".//h1")
    assert heading is not None
    assert (heading.text or "").startswith("<script>alert(1)</script>")


def test_the_finder_index_cannot_end_its_script_or_its_text(content: Path) -> None:
    edit(content, "kn-01.yml", "^aim: .*$", "aim: \"</script><!-- \\u2028 'x'\"")
    context, _ = context_and_pages(content)
    script = site_assets(context)["assets/finder-en.js"].decode()
    assert script.startswith("limberleafFinder({")
    index = json.loads(script.removeprefix("limberleafFinder(").removesuffix(");\n"))
    assert "</script><!-- \u2028 'x'" in [row[-1] for row in index["rows"]]


PROSE = """---
title: Odd words
description: A page with odd words.
---

# Odd words

<script>alert(1)</script> and <b onclick="x()">bold</b>.

[a](javascript:alert(1)) [b](&#106;avascript:alert(1)) [c](JaVa\tScript:alert(1)) [d](https://who.int/) [e](/get-help/)
[f](data:text/html,x) ![a picture](https://elsewhere.example/x.png)

Call {phone}. See [[kn-01]] or [[kn-01|this one]]. An {unknown} blank stays.

# Second heading
"""


def test_prose_keeps_to_the_policy(content: Path) -> None:
    (content / "pages/odd-words.md").write_text(PROSE, "utf-8")
    text = html(content, "odd-words/")
    root = html5lib.parse(text, namespaceHTMLElements=False)
    main = root.find(".//main")
    assert main is not None
    assert [one.text for one in main.iter("h1")] == ["Odd words"]
    assert [one.text for one in main.iter("h2")] == ["Second heading"]
    assert not list(main.iter("script"))
    assert not list(main.iter("b"))
    assert not list(main.iter("img"))
    links = [one.get("href") or "" for one in main.iter("a")]
    assert "https://who.int/" in links
    assert "../get-help/" in links
    assert links.count("../kn-01/") == 2
    assert any(link.startswith("tel:") for link in links)
    assert not [link for link in links if "script" in link.lower() or link.startswith("data")]
    assert "{unknown}" in text


@pytest.mark.parametrize(
    ("page", "target", "names_files", "link"),
    [
        ("", "kn-01/", False, "kn-01/"),
        ("kn-01/", "", False, "../"),
        ("", "", False, "./"),
        ("kn-01/left/", "kn-02/left/", False, "../../kn-02/left/"),
        ("nl/kn-01/", "assets/site.css", False, "../../assets/site.css"),
        ("kn-01/left/", "", True, "../../index.html"),
        ("", "kn-01/", True, "kn-01/index.html"),
        ("kn-01/", "assets/site.css?v=1", True, "../assets/site.css?v=1"),
    ],
)
def test_links_climb_to_the_root_and_down(page: str, target: str, names_files: bool, link: str) -> None:
    assert Links(page, names_files).to(target) == link


def test_the_page_for_a_lost_address_works_at_any_depth(content: Path) -> None:
    edit(content, "clinic.yml", "^site: .*$", "site: https://clinic.example/exercises/")
    text = html(content, "404.html")
    links = re.findall(r'(?:href|src)="([^"]+)"', text)
    assert links
    assert all(link.startswith(("/exercises/", "tel:", "#")) for link in links)


def test_every_link_of_a_copy_names_a_file(content: Path) -> None:
    context, pages = context_and_pages(content, name_files=True)
    files = {file for page in pages.values() for file in (page.file, *page.files())} | set(
        site_assets(context)
    )
    for page in pages.values():
        if page.kind == "not_found":
            continue
        for link in re.findall(
            r'<(?:a|script|link rel="stylesheet")[^>]*(?:href|src)="([^":]+)"', render_page(page, context)
        ):
            path = link.split("#")[0].split("?")[0]
            if path:
                assert (Path("/site") / page.url / path).resolve().relative_to("/site").as_posix() in files, (
                    page.url,
                    link,
                )


def test_a_right_to_left_page_mirrors_its_layout_and_not_its_figures(content: Path) -> None:
    """Numbers to dial keep their order (Unicode UAX 9: an isolate in the other direction)."""
    edit(content, "clinic.yml", "^languages: .*$", "languages: [en, ar]")
    library = load_library(content)
    words = library.exercises["kn-01"].entry
    translation = {
        "translates": {"code": "kn-01", "version": 1, "fingerprint": "0"},
        "status": "approved",
        "review": {"owner": "Lead physiotherapist", "reviewed": "2026-09-01", "due": "2028-09-01"},
        "title": "حرّك كعبك وأنت مستلقٍ",
        "aim": "مساعدة ركبتك على الانثناء.",
        "leave_out_if": ["ركبتك ساخنة."],
        "setup": ["استلق على ظهرك."],
        "steps": ["حرّك كعبك."],
        "feelings": {"fine": ["تشعر بشد."], "ease_off": ["يزيد الألم."], "stop": ["ألم حاد."]},
        "in_short": ["استلق.", "حرّك.", "كرّر."],
        "figure": ["استلق."] * len(words.figure.poses),
    }
    file = next(content.rglob("kn-01.yml")).with_name("kn-01.ar.yml")
    file.write_text(json.dumps(translation, ensure_ascii=False), "utf-8")
    context, pages = context_and_pages(content)
    page = pages["ar/kn-01/"]
    text = render_page(page, context)
    assert '<html lang="ar" dir="rtl">' in text
    assert 'hreflang="en" href="https://' in text
    assert re.search(r'<a class="tel" href="tel:\d+" dir="ltr">', text)
    assert "حرّك كعبك وأنت مستلقٍ" in text
    assert 'hreflang="ar"' in render_page(pages["kn-01/"], context)
    assert "scaleX" not in site_assets(context)["assets/site.css"].decode()
    assert "ar/kn-02/" not in pages
