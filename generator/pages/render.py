"""From views to HTML: Jinja with everything escaped and every name required.

Templates are compiled once. `render_body` makes the inside of `<main>`; `render_page` puts the whole document
around it, with the content policy, the links a head needs, and the clinic's head and foot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.model import SiteContext, SitePage
from limberleaf.pages.shell_view import shell_view


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("limberleaf.pages", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


@cache
def _template(name: str) -> Template:
    return _environment().get_template(name)


def render_body(kind: str, edition: LanguageEdition, url: str, values: Mapping[str, object]) -> str:
    """Render the inside of a page's `<main>` from its view."""
    return _template(f"{kind}.html").render(
        values, say=edition.say, renderer=edition.renderer(url), edition=edition, url=url
    )


def render_page(page: SitePage, context: SiteContext) -> str:
    """Render a page as a whole HTML document."""
    shell = shell_view(page, context)
    body = Markup(page.body())  # noqa: S704 - rendered by our own templates, which escape
    return _template("document.html").render(shell=shell, body=body)
