"""Pages: from entries to HTML.

A `SiteContext` names what a site is made from; `site_pages` gives its pages, `render_page` a whole document,
`site_assets` the files that pages share. In order: links.py (addresses), language_edition.py (the
library in one language), passage.py (texts as runs of words),
*_view.py (what each kind of page shows), templates/ (its HTML), shell_view.py (what is around it), site.py (all
the pages together).
"""

from limberleaf.pages.model import FigureSource, PanelView, SiteContext, SitePage
from limberleaf.pages.render import render_page
from limberleaf.pages.site import site_assets, site_pages

__all__ = [
    "FigureSource",
    "PanelView",
    "SiteContext",
    "SitePage",
    "render_page",
    "site_assets",
    "site_pages",
]
