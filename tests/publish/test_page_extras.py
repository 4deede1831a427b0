"""What a clinic may switch on for its pages: the paper sheet as PDF, a copy for frames with oEmbed, a question.

Sources: oEmbed 1.0, 2.3.4.4 (what a rich answer must hold); RFC 6068 (mailto).
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pdfplumber
import pytest
from approved import record
from conftest import tree

from limberleaf.findings import Finding, Place
from limberleaf.handouts import HandoutError
from limberleaf.library import load_library
from limberleaf.publish.plain import write_site

DAY = date(2026, 9, 1)


def site_with(content: Path, folder: Path, *lines: str, cache: Path | None = None) -> dict[str, bytes]:
    file = content / "clinic.yml"
    kept = file.read_text("utf-8")
    file.write_text(kept.rstrip("\n") + "\n" + "".join(f"{line}\n" for line in lines), "utf-8")
    record(content)
    pages, findings = write_site(content, folder / "site", today=DAY, cache=cache)
    file.write_text(kept, "utf-8")
    assert pages, findings
    return tree(folder / "site")


def test_every_page_links_its_sheet_with_its_size_and_a_second_build_sets_none(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = tmp_path / "cache"
    site = site_with(content, tmp_path, "handouts: true", cache=cache)
    sheets = [path for path in site if path.endswith("handout.pdf")]
    wanted = {
        f"{page}handout.pdf"
        for page in ("kn-01/", "kn-01/left/", "kn-01/right/", "ladders/knee-first-steps/")
    }
    assert wanted <= set(sheets)
    for path in sheets:
        page = site[path.replace("handout.pdf", "index.html")].decode()
        named = re.search(
            r'<a class="button" href="handout.pdf" type="application/pdf">[^<]*?(\d+) kB\)</a>', page
        )
        assert named
        assert int(named[1]) == round(len(site[path]) / 1000)
    with pdfplumber.open(io.BytesIO(site["kn-01/left/handout.pdf"])) as sheet:
        assert "Slide your heel" in (sheet.pages[0].extract_text() or "")
    monkeypatch.setattr(
        "limberleaf.publish.paper.set_all", lambda handouts, *_: [("set", one) for one in handouts][:0]
    )
    assert site_with(content, tmp_path, "handouts: true", cache=cache) == site


def test_a_sheet_that_cannot_be_set_hides_no_error_of_a_figure(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> Iterator[object]:
        raise HandoutError(
            [Finding("error", "handout-not-set", "The sheet has no room.", "Shorten it.", Place("kn-01"))]
        )

    monkeypatch.setattr("limberleaf.publish.paper.set_all", refuse)
    clinic, entry = content / "clinic.yml", content / "exercises/knee/kn-02.yml"
    clinic.write_text(clinic.read_text("utf-8") + "handouts: true\n", "utf-8")
    text = entry.read_text("utf-8")
    assert "knee: {flexion: 5}" in text
    entry.write_text(
        text.replace("knee: {flexion: 5}", "knee: {flexion: 5}, ankle: {dorsiflexion: 90}", 1), "utf-8"
    )
    record(content)
    pages, findings = write_site(content, tmp_path / "site", today=DAY, cache=None)
    assert not pages
    errors = {(one.code, one.place.path) for one in findings if one.severity == "error"}
    assert ("handout-not-set", "kn-01") in errors
    assert "exercises/knee/kn-02.yml" in {path for _, path in errors}
    assert not (tmp_path / "site").exists()


def test_a_page_for_frames_is_the_page_without_head_and_foot(content: Path, tmp_path: Path) -> None:
    site = site_with(content, tmp_path, "frames: true")
    page, frame = (site[f"kn-01/left/{name}"].decode() for name in ("index.html", "frame.html"))
    article = page[page.index("<article") : page.index("</article>")]
    assert article in frame, "nothing of the page is left out: the boxes belong to it"
    assert "<header" not in frame
    assert 'class="foot"' not in frame
    assert '<meta name="robots" content="noindex">' in frame
    assert '<base target="_top">' in frame
    assert re.search(r'rel="canonical" href="https://[^"]+/kn-01/left/"', frame)
    found = re.search(r'type="application/json\+oembed" href="([^"]+)"', page)
    assert found
    assert "oembed" not in frame
    answer = json.loads(site[urlsplit(found[1]).path.lstrip("/")])
    assert (answer["type"], answer["version"]) == ("rich", "1.0")
    assert {"html", "width", "height"} <= answer.keys()
    source = re.search(r'src="([^"]+)" title="[^"]+"', answer["html"])
    assert source
    assert urlsplit(source[1]).path.lstrip("/") in site
    assert "frame.html" not in site["sitemap.xml"].decode()


def test_the_question_asks_by_mail_or_phone_and_sends_nothing_itself(content: Path, tmp_path: Path) -> None:
    site = site_with(content, tmp_path, "feedback: true", "email: hello@quillmere.example")
    page = site["kn-01/left/index.html"].decode()
    card = page[page.index('<aside class="clear">') : page.index("</aside>")]
    mail = re.search(r'href="(mailto:[^"]+)"', card)
    assert mail
    assert parse_qs(urlsplit(mail[1].replace("&amp;", "&")).query)["subject"] == ["Not clear: KN-01"]
    assert 'href="tel:' in card
    assert "<form" not in page
    assert "form-action &#39;none&#39;" in page
    without = site_with(content, tmp_path / "phone", "feedback: true")["kn-01/index.html"].decode()
    assert "mailto:" not in without
    assert "Was this clear?" in without


def test_none_of_it_is_there_unless_the_clinic_asks(content: Path, tmp_path: Path) -> None:
    site = site_with(content, tmp_path)
    assert [path for path in site if re.search(r"frame\.html|oembed|handout\.pdf", path)] == []
    assert "Was this clear" not in site["kn-01/index.html"].decode()


def test_what_lies_beside_prose_pages_is_published_and_hides_no_page(content: Path, tmp_path: Path) -> None:
    (content / "pages/robots.txt").write_text("User-agent: *\nDisallow: /\n", "utf-8")
    (content / "pages/sitemap.xml").write_text("<no/>", "utf-8")
    site = site_with(content, tmp_path)
    assert site["robots.txt"] == b"User-agent: *\nDisallow: /\n"
    assert b"urlset" in site["sitemap.xml"]
    assert [one for one in load_library(content).findings if one.place.path.startswith("pages")] == []
