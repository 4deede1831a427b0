"""Our pages inside a theme of another make: the same body in a container of its own, with our style and scripts.

The style sheets are those of our own theme, scoped: every selector is put below the container's id, which no theme's
rule outweighs and which lets none of ours out. Inside the container the theme's own rules are taken back first. Sizes
in `rem` become sizes of the container, since themes set the root's size as they like. Language and direction are on
the container, because most themes write every page as one language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from markupsafe import Markup

from limberleaf.pages import links
from limberleaf.pages.assets import FOLDER, asset_address, static_assets
from limberleaf.pages.links import Links
from limberleaf.pages.model import SitePage
from limberleaf.words import interface_words

CONTAINER = "limberleaf"
STYLE = "guest.css"

_RESET = f"#{CONTAINER}, #{CONTAINER} :where(:not(svg, svg *, img)) {{ all: revert; }}\n"
"""Take a theme's rules back, but not what drawings and pictures say of themselves."""

_WAYS = f"#{CONTAINER} > section > .tools {{ margin: 0; padding: calc(.6 * var(--rem)) calc(1 * var(--rem)) 0; }}\n"
"""The links above a page, which our own theme has in its head."""

_AWAY = re.compile(r"^(?:main(?::focus)?|\.(?:skip|top|foot|clinic|languages)(?![\w-]).*)$")
"""Selectors of the frame around a page, which is the theme's."""

_REM = re.compile(r"(?<![\w.-])(-?\d*\.?\d+)rem\b")


@cache
def guest_style() -> bytes:
    """Give the scoped style sheet."""
    ours = "\n".join(static_assets()[name].decode() for name in ("site.css", "plan.css"))
    ours = ours.replace("color-scheme: light dark", "color-scheme: light")
    return (_RESET + "".join(_scoped(re.sub(r"/\*.*?\*/", "", ours, flags=re.DOTALL))) + _WAYS).encode()


def _scoped(css: str) -> Iterator[str]:
    for head, inside in _blocks(css):
        if "prefers-color-scheme" in head or head.startswith("@page"):
            continue  # the theme around the container has a light of its own, and paper of its own
        if head.startswith("@"):
            yield f"{head} {{\n{''.join(_scoped(inside))}}}\n"
        elif head in ("html", ".large"):
            yield _root(head, inside)
        else:
            selectors = [scoped for one in _split(head) if (scoped := _selector(one))]
            if selectors:
                yield f"{', '.join(selectors)} {{ {_REM.sub(_size, inside.strip())} }}\n"


def _blocks(css: str) -> Iterator[tuple[str, str]]:
    """Give each rule's head and what is between its braces."""
    at = 0
    while (opening := css.find("{", at)) >= 0:
        depth, end = 1, opening + 1
        while depth:
            depth += {"{": 1, "}": -1}.get(css[end], 0)
            end += 1
        yield css[at:opening].strip(), css[opening + 1 : end - 1]
        at = end


def _split(head: str) -> list[str]:
    """Split a list of selectors at the commas outside of brackets."""
    return [one.strip() for one in re.split(r",(?![^(]*\))", head)]


def _selector(one: str) -> str | None:
    if _AWAY.match(one):
        return None
    if one in (":root", "body"):
        return f"#{CONTAINER}"
    if one.startswith(".large "):
        return f".large #{CONTAINER} {one.removeprefix('.large ')}"
    return f"#{CONTAINER} {one.removeprefix('main ')}"


def _root(head: str, inside: str) -> str:
    """Turn the size of the root into the size of the container, which sizes in `rem` then follow."""
    size = re.search(r"font-size:\s*([\d.]+)(%|pt)", inside)
    if not size:
        return ""
    length = f"{float(size[1]) * 0.16:g}px" if size[2] == "%" else f"{size[1]}pt"
    place = f".large #{CONTAINER}" if head == ".large" else f"#{CONTAINER}"
    return f"{place} {{ --rem: {length}; font-size: {length}; }}\n"


def _size(match: re.Match[str]) -> str:
    return f"calc({match[1]} * var(--rem))"


def guest_head(page: SitePage) -> str:
    """Give what the document's head needs: the rule that no address is handed on, our style, our scripts."""
    link = Links(page.url)
    scripts = (link.to(asset_address(name)) for name in ("site.js", *page.scripts))
    return Markup(
        '<meta name="referrer" content="no-referrer">\n<link rel="stylesheet" href="{}">\n{}'
    ).format(
        link.to(FOLDER + STYLE),
        Markup("\n").join(Markup('<script src="{}" defer></script>').format(address) for address in scripts),
    )


def guest_body(page: SitePage, main_language: str) -> str:
    """Give a page's body in its container, with the ways that our own theme has in its head.

    These are the same page in other languages, and the plan; `main_language` is the one whose pages are at the root.
    """
    link, words = Links(page.url), interface_words(page.language)
    ways = [
        Markup('<a href="{}" hreflang="{}" lang="{}">{}</a>').format(
            link.to(url), language, language, interface_words(language).say("language_name")
        )
        for language, url in page.alternates.items()
        if language != page.language
    ]
    if page.kind not in ("plan", "follow"):
        plan = link.to(links.in_language(links.PLAN, page.language, main_language))
        ways.append(Markup('<a href="{}">{}</a>').format(plan, words.say("site.plan")))
    above = Markup('<p class="tools">{}</p>\n').format(Markup(" ").join(ways)) if ways else ""
    return Markup('<div id="{}" lang="{}" dir="{}"><section class="{}">\n{}{}\n</section></div>').format(
        CONTAINER,
        page.language,
        words.direction,
        page.kind,
        above,
        Markup(page.body()),  # noqa: S704 - our templates
    )
