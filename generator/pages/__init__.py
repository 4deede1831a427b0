"""Pages: from entries to HTML.

A `SiteContext` names what a site is made from; `site_pages` gives its pages, `render_page` a whole document,
`site_assets` the files that pages share. In order: links.py and addresses.py (where pages are, and where they were),
language_edition.py (the library in one language), passage.py (texts as runs of words), page_figures.py (their
figures), qr.py, shorten.py, assets.py and face.py (the clinic's own look), model.py (what a site is made from), views/
(what each kind of page shows), templates/ (its HTML) with compiled_templates.py, shell_view.py and frame.py (what is
around it), moved.py (pages that only lead on), guest.py (a page in a theme of another make), theme/ (the MkDocs theme),
render.py and site.py (all the pages together).
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
