"""A page for a frame in another site: the same inside without head and foot, and what oEmbed says of it.

Source: oEmbed 1.0 (oembed.com): a `rich` answer has `html`, `width` and `height`; a page names its answer by a link.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from markupsafe import Markup

from limberleaf.pages.language_edition import edition_of
from limberleaf.pages.model import SiteContext, SitePage
from limberleaf.pages.render import render_page
from limberleaf.pages.shell_view import OEMBED, has_frame

FRAME = "frame.html"
WIDTH, HEIGHT = 800, 1200
"""Pixels of the frame that oEmbed proposes: a page in two columns, with figure, steps and dose in sight."""


def framed(page: SitePage, context: SiteContext) -> Mapping[str, str]:
    """Give the page for frames and its oEmbed answer, by path; nothing where the page has none."""
    if not has_frame(page, context):
        return {}
    return {
        f"{page.url}{FRAME}": render_page(page, context, framed=True),
        f"{page.url}{OEMBED}": json.dumps(_answer(page, context), ensure_ascii=False, indent=1) + "\n",
    }


def _answer(page: SitePage, context: SiteContext) -> Mapping[str, str | int]:
    address = context.site + page.url
    frame = Markup('<iframe src="{}" title="{}" width="{}" height="{}" loading="lazy"></iframe>').format(
        address + FRAME, page.title, WIDTH, HEIGHT
    )
    return {
        "version": "1.0",
        "type": "rich",
        "title": page.title,
        "provider_name": edition_of(context, page.language).name,
        "provider_url": context.site,
        "width": WIDTH,
        "height": HEIGHT,
        "html": str(frame),
    }
