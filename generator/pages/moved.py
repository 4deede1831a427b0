"""The page at an address that leads to another one: it goes there at once, and has a link for those that cannot."""

from __future__ import annotations

from limberleaf.pages.language_edition import edition_of
from limberleaf.pages.model import SiteContext, SitePage
from limberleaf.pages.render import render_body


def redirect_page(context: SiteContext, url: str, target: str) -> SitePage:
    """Make the page at `url` that leads to `target`, both relative to the site, in the language of the target."""
    languages = context.library.settings.languages
    first, _, _ = target.partition("/")
    edition = edition_of(context, first if first in languages else languages[0])
    title = edition.words.say("retired.moved")
    view = {"href": edition.renderer(url).href(target), "title": title}
    return SitePage(
        url, "redirect", edition.language, title, title, go_to=target,
        body=lambda: render_body("redirect", edition, url, view),
    )  # fmt: skip
