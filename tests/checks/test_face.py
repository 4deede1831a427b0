"""The clinic's own face: what cannot be shown or read is named where it stands, and what is stated is on the page."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from approved import record
from colours import contrast as contrast_of_tests
from conftest import tree
from PIL import Image

from limberleaf.checks.face import check_face
from limberleaf.checks.own_styles import style_findings
from limberleaf.library import load_library
from limberleaf.library.colour import TEXT, channels, contrast, least_contrast, nearest, oklab
from limberleaf.library.face_colours import face_data, faint_colours, page_colours
from limberleaf.library.models.face import Colours
from limberleaf.pages.assets import static_assets
from limberleaf.publish.plain import write_site

LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 50"><path d="M0 0h200v50H0z"/></svg>'
WHOLE = """face:
  logo: {file: face/logo.svg, alt: A blue wave}
  icon: face/icon.svg
  colours: {main: "#7a3b00", band: "#7a3b00"}
  font: {file: face/own.woff2, licence: SIL Open Font License 1.1}
  footer: Run by the invented Quillmere trust.
  styles: [face/own.css]
"""


def dress(content: Path, face: str = WHOLE) -> int:
    """Put a face on a library with all its files; give the line at which it begins."""
    folder = content / "face"
    folder.mkdir(exist_ok=True)
    for name in ("logo.svg", "icon.svg"):
        (folder / name).write_text(LOGO, "utf-8")
    (folder / "own.woff2").write_bytes(b"wOF2" + bytes(60))
    (folder / "own.css").write_text("h1 { letter-spacing: 0; }\n", "utf-8")
    file = content / "clinic.yml"
    text = file.read_text("utf-8").rstrip("\n") + "\n"
    file.write_text(text + face, "utf-8")
    record(content)
    return text.count("\n") + 1


def found(content: Path) -> list[tuple[str, str, int]]:
    library = load_library(content)
    return [(one.code, one.place.path, one.place.line) for one in [*library.findings, *check_face(library)]]


def test_a_whole_face_has_no_finding_and_is_on_every_page(content: Path, tmp_path: Path) -> None:
    dress(content)
    assert found(content) == []
    pages, _ = write_site(content, tmp_path / "site", today=date(2026, 9, 1), cache=None)
    assert pages
    site = tree(tmp_path / "site")
    for path, data in site.items():
        if not path.endswith("index.html"):
            continue
        html = unescape(data.decode())
        up = "../" * path.count("/")
        assert re.search(
            rf'<img src="{re.escape(up)}assets/face/logo\.svg\?v=\w+" alt="A blue wave" width="176" height="44">',
            html,
        )
        assert f'href="{up}assets/face/icon.svg?v=' in html
        assert "Run by the invented Quillmere trust." in html
        assert "font-src 'self'; base-uri 'none'" in html
        sheets = re.findall(r'rel="stylesheet" href="([^"?]+)', html)
        assert [one.rpartition("/")[2] for one in sheets][-2:] == ["face.css", "own.css"]
    assert site["assets/face/logo.svg"] == LOGO.encode()
    style = site["assets/face.css"].decode()
    assert "--accent: #7a3b00" in style
    assert 'url("face/own.woff2' in style
    assert "#7a3b00" not in style.partition("@media")[0], "colours are for screens; paper stays black"


def test_a_clinic_without_a_face_loads_no_font_and_no_more_files(content: Path, tmp_path: Path) -> None:
    write_site(content, tmp_path / "site", today=date(2026, 9, 1), cache=None)
    site = tree(tmp_path / "site")
    assert "font-src" not in site["index.html"].decode()
    assert [path for path in site if "face" in path] == []


@pytest.mark.parametrize(
    ("find", "put", "code", "line"),
    [
        ("face/logo.svg", "face/lgoo.svg", "own-file-missing", 1),
        ("face/logo.svg", "https://elsewhere.example/logo.svg", "file-from-elsewhere", 1),
        ("face/logo.svg", "../clinic.yml", "own-file-missing", 1),
        ("face/logo.svg", "face/own.woff2", "file-kind-wrong", 1),
        (", alt: A blue wave", "", "missing-key", 1),
        ("alt: A blue wave", "alt: A blue wave, holds_name: true", "logo-without-name", 1),
        ("alt: A blue wave", "alt: {nl: Een golf}", "face-language-missing", 1),
        ('main: "#7a3b00"', 'main: "#c9a06a"', "colour-too-faint", 3),
        ('main: "#7a3b00"', 'main: "#7a3b00", main_dark: "#333333"', "colour-too-faint", 3),
        ('band: "#7a3b00"', 'band: "#808080"', "colour-too-faint", 3),
        ('main: "#7a3b00"', 'main: "#7c202c"', "colour-like-warning", 3),
        ('main: "#7a3b00"', "main: brown", "wrong-form", 3),
        (", licence: SIL Open Font License 1.1", "", "missing-key", 4),
        ("[face/own.css]", "[face/own.css, face/icon.svg]", "file-kind-wrong", 6),
    ],
)  # fmt: skip
def test_a_slip_is_named_at_its_line(content: Path, find: str, put: str, code: str, line: int) -> None:
    assert find in WHOLE
    first = dress(content, WHOLE.replace(find, put, 1))
    assert (code, "clinic.yml", first + line) in found(content)


def test_files_that_do_not_belong_are_named(content: Path) -> None:
    first = dress(content)
    (content / "face/logo.svg").write_text(
        LOGO.replace("<path", '<script>1</script><path onclick="1"'), "utf-8"
    )
    Image.new("RGB", (16, 16)).save(content / "face/icon.png")
    (content / "face/old.png").write_bytes((content / "face/icon.png").read_bytes())
    (content / "clinic.yml").write_text(
        (content / "clinic.yml").read_text("utf-8").replace("icon.svg", "icon.png"), "utf-8"
    )
    named = found(content)
    assert named.count(("picture-not-plain", "clinic.yml", first + 1)) == 2
    assert ("icon-small", "clinic.yml", first + 2) in named
    assert ("file-not-used", "face/old.png", 0) in named
    assert ("file-not-used", "face/icon.svg", 0) in named


@pytest.mark.parametrize(
    "inside",
    ['<image href="https://a.example/x.png"/>', "<style>@import 'x.css';</style>", "<foreignObject/>",
     '<path style="fill:url(//a.example/x)"/>', "<path onload='x()'/>"],
)  # fmt: skip
def test_a_drawing_that_runs_or_fetches_something_is_refused(content: Path, inside: str) -> None:
    first = dress(content)
    (content / "face/logo.svg").write_text(LOGO.replace("<path", f"{inside}<path"), "utf-8")
    assert ("picture-not-plain", "clinic.yml", first + 1) in found(content)


def test_a_link_that_leads_out_of_the_library_is_never_published(content: Path, tmp_path: Path) -> None:
    dress(content)
    secret = tmp_path / "secret.svg"
    secret.write_text(LOGO, "utf-8")
    (content / "face/logo.svg").unlink()
    (content / "face/logo.svg").symlink_to(secret)
    assert {"link-leads-out", "own-file-missing"} <= {code for code, _, _ in found(content)}


@pytest.mark.parametrize(
    ("css", "code"),
    [
        (".box { display: none }", "style-hides-boxes"),
        ("main .emergency h2 { font-size: 0 }", "style-hides-boxes"),
        ("section { visibility: hidden }", "style-hides-boxes"),
        ("@media print { .leave { display:none } }", "style-hides-boxes"),
        (".stop { background: #fff }", "style-paints-boxes"),
        (":root { --stop: #00f }", "style-paints-boxes"),
        ("@import 'more.css';", "style-fetches"),
        ("h1 { background: url(https://a.example/x.png) }", "style-fetches"),
    ],
)
def test_a_style_that_hides_or_fetches_is_named_at_its_line(css: str, code: str) -> None:
    named = list(
        style_findings(f"/* .box {{ display: none }} */\nh1 {{ color: #123; }}\n{css}\n", "face/own.css")
    )
    assert [(one.code, one.place.line) for one in named] == [(code, 3)]


def test_a_style_that_does_neither_is_left_alone() -> None:
    css = "h1 { background: url(w.png) }\n.top nav { display: none }\n.strip a { color: #123 }\n.dose { opacity: .5 }\n"
    assert list(style_findings(css, "face/own.css")) == []


# --- colours ----------------------------------------------------------------------------------------------------


def test_the_grounds_are_those_of_the_pages() -> None:
    css = static_assets()["site.css"].decode()
    light, dark = (
        css[css.index(":root {") :],
        css[css.index("@media screen and (prefers-color-scheme: dark)") :],
    )
    for mode, text in (("light", light), ("dark", dark)):
        block = text[: text.index("}")]
        tokens = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6});", block))
        wanted = [tokens[name] for name in ("paper", "card", "stop-back", "ease-back")]
        assert [
            contrast(one, other)
            for one, other in zip(wanted, face_data()["grounds"][mode].values(), strict=True)
        ] == [1] * 4
    assert face_data()["warnings"] == {"light": "#7a1f2b", "dark": "#8f2633"}


def test_our_contrast_is_that_of_the_tests_formula() -> None:
    for one, other in (("#0b5a5e", "#fbf8f2"), ("#fff", "#000"), ("#777", "#fff"), ("#62bfc2", "#10171b")):
        assert contrast(one, other) == pytest.approx(contrast_of_tests(one, other), abs=1e-12)


@pytest.mark.parametrize(
    ("colour", "lab"),
    [  # CSS Color Module Level 4 and its tests: green, white (from memory, to the digits given there)
        ("#008000", (0.51975, -0.1403, 0.10768)),
        ("#ffffff", (1.0, 0.0, 0.0)),
        ("#000000", (0.0, 0.0, 0.0)),
    ],
)
def test_oklab_gives_published_values(colour: str, lab: tuple[float, float, float]) -> None:
    assert oklab(colour) == pytest.approx(lab, abs=2e-4)


@pytest.mark.parametrize(
    "colour", ["#c9a06a", "#ff0000", "#00ff00", "#ffff00", "#0000ff", "#808080", "#fff", "#39c"]
)
@pytest.mark.parametrize("mode", ["light", "dark"])
def test_the_colour_offered_passes_and_none_of_its_hue_is_nearer(colour: str, mode: str) -> None:
    grounds = list(face_data()["grounds"][mode].values())
    offered = nearest(colour, grounds)
    assert least_contrast(offered, grounds) >= TEXT
    assert nearest(offered, grounds) == offered, "what is offered is taken"
    if least_contrast(colour, grounds) < TEXT:
        near = [
            round(255 * (0.1 * one + 0.9 * other))
            for one, other in zip(channels(colour), channels(offered), strict=True)
        ]
        assert least_contrast("#" + "".join(f"{one:02x}" for one in near), grounds) < TEXT


def test_a_face_colour_is_taken_in_all_three_lights() -> None:
    made = page_colours(Colours(main="#7A3B00", band="#FFE08A"))
    grounds = face_data()["grounds"]
    assert made.light == "#7a3b00"
    assert (
        min(
            contrast_of_tests(made.light, one)
            for one in (*grounds["light"].values(), *grounds["print"].values())
        )
        >= 4.5
    )
    assert min(contrast_of_tests(made.dark, one) for one in grounds["dark"].values()) >= 4.5
    assert contrast_of_tests(made.band, made.letters) >= 4.5
    assert list(faint_colours(Colours(main="#7a3b00", band="#ffe08a"))) == []
