"""From views to HTML: Jinja with everything escaped and every name required.

Templates are compiled once. `render_body` makes the inside of `<main>`; `render_page` puts the whole document
around it, with the content policy, the links a head needs, and the clinic's head and foot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from markupsafe import Markup

from limberleaf.pages import assets
from limberleaf.pages.assets import asset_address, static_assets
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.model import SiteContext, SitePage
from limberleaf.pages.shell_view import shell_view
from limberleaf.store.keys import content_key, file_stamp, text_key

if TYPE_CHECKING:
    from jinja2 import Environment, Template


@cache
def _environment() -> Environment:
    from limberleaf.pages.compiled_templates import (
        environment,
    )  # Jinja: a build that makes no page starts without it

    return environment(assets.HOME / "templates", keep=assets.HOME == _OWN)


_OWN = assets.HOME


@cache
def _template(name: str) -> Template:
    return _environment().get_template(name)


_FOLLOWED = ("templates", "assets")
_state: list[tuple[object, str]] = []


def follow_files() -> str:
    """Take up templates and assets that were edited since the last call; give a hash of all of them.

    A preview runs on while somebody works on them; code is read once for a run.
    """
    folders = [assets.HOME / name for name in _FOLLOWED]
    found = sorted(file for folder in folders for file in folder.rglob("*") if file.is_file())
    stamps = [file_stamp(file) for file in found]
    if not _state or _state[0][0] != stamps:
        for known in (_environment, _template, static_assets, asset_address):
            known.cache_clear()
        _state[:] = [(stamps, content_key([(file.name, text_key(file.read_bytes())) for file in found]))]
    return _state[0][1]


def render_body(kind: str, edition: LanguageEdition, url: str, values: Mapping[str, object]) -> str:
    """Render the inside of a page's `<main>` from its view."""
    return _template(f"{kind}.html").render(
        values, say=edition.say, renderer=edition.renderer(url), edition=edition, url=url
    )


def render_page(page: SitePage, context: SiteContext, *, framed: bool = False) -> str:
    """Render a page as a whole HTML document; `framed`: without head and foot, to stand in another site."""
    shell = shell_view(page, context, framed=framed)
    body = Markup(page.body())  # noqa: S704 - rendered by our own templates, which escape
    return _template("document.html").render(shell=shell, body=body)
