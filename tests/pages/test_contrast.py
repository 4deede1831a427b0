"""Every pair of colours the style sheet puts together, by the WCAG formula, in light and dark."""

from __future__ import annotations

import re
from itertools import product

import pytest
from colours import contrast

from limberleaf.pages.assets import static_assets

TEXT, SHAPE = 4.5, 3.0
"""WCAG 2.2: 1.4.3 contrast (minimum) for text, 1.4.11 non-text contrast for borders, icons and focus marks."""

PAIRS = [
    *(("ink", back, TEXT) for back in ("paper", "card", "ok-back", "ease-back", "stop-back")),
    *(("soft", back, TEXT) for back in ("paper", "card")),
    *(("accent", back, TEXT) for back in ("paper", "card", "stop-back", "ease-back")),
    *(("edge", back, SHAPE) for back in ("paper", "card")),
    *((name, f"{name}-back", TEXT) for name in ("ok", "ease", "stop")),
    *(("stop", back, TEXT) for back in ("paper", "card")),
    ("ease", "card", TEXT),
    ("on-head", "head", TEXT),
    ("paper", "ink", TEXT),
    ("figure-ink", "figure", TEXT),
    ("rust", "figure", TEXT),
]
"""(front, back, least ratio) of every text, border and icon in site.css."""

ASKED = [
    ("ink", "paper", 13.7),
    ("soft", "paper", 6.7),
    ("accent", "paper", 7.5),
    ("ok", "ok-back", 8.1),
    ("ease", "ease-back", 7.1),
    ("stop", "stop-back", 8.7),
]
"""What the design asks of its main pairs; the dark ones keep at least the same."""


def tokens() -> dict[str, dict[str, str]]:
    css = static_assets()["site.css"].decode()
    blocks = {
        "light": css[css.index(":root {") :],
        "dark": css[css.index("@media screen and (prefers-color-scheme: dark)") :],
    }
    found = {
        name: dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6});", text[: text.index("}")]))
        for name, text in blocks.items()
    }
    found["dark"] = {**found["light"], **found["dark"]}
    return found


@pytest.mark.parametrize(
    ("one", "other", "published", "digits"),
    [
        ("#000000", "#ffffff", 21.0, 6),  # WCAG 2.2, contrast ratio runs from 1 to 21
        ("#ffffff", "#fff", 1.0, 6),
        ("#767676", "#ffffff", 4.54, 2),  # the lightest grey that passes on white, widely published
        ("#ff8100", "#64003a", 5.235369975583679, 4),  # read-me of the npm package contrast-ratio-checker
        ("#e5e5e5", "#aabb00", 1.698093107780376, 4),  # the same
    ],
)
def test_the_formula_gives_published_values(one: str, other: str, published: float, digits: int) -> None:
    assert round(contrast(one, other), digits) == pytest.approx(published, abs=10**-digits)


@pytest.mark.parametrize(("mode", "pair"), list(product(("light", "dark"), PAIRS)))
def test_each_pair_can_be_read(mode: str, pair: tuple[str, str, float]) -> None:
    front, back, least = pair
    colours = tokens()[mode]
    assert contrast(colours[front], colours[back]) >= least


@pytest.mark.parametrize(("mode", "pair"), list(product(("light", "dark"), ASKED)))
def test_the_main_pairs_keep_what_the_design_asks(mode: str, pair: tuple[str, str, float]) -> None:
    front, back, asked = pair
    colours = tokens()[mode]
    assert round(contrast(colours[front], colours[back]), 1) >= round(asked, 1)


def test_no_colour_is_outside_the_tokens() -> None:
    """Colours written elsewhere in the sheet would escape these checks; paper is black and white."""
    css = static_assets()["site.css"].decode()
    screen = css[css.index("*, ::before") : css.index("/* Paper:")]
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", screen)) <= {"#7d8a91"}
