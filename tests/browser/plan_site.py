"""The sample library of tests/plan as a site, for the tests of the plan and follow-along pages."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pages.fakes import PlainFigures

from limberleaf.library import Library
from limberleaf.pages import SiteContext, render_page, site_assets, site_pages
from limberleaf.publish.swap import write_files


@dataclass(frozen=True)
class PlanSite:
    """The library, the folder its site stands in and the address it is served at."""

    library: Library
    folder: Path
    url: str


def write_site(library: Library, folder: Path, *, name_files: bool = False) -> None:
    """Write the site of the sample library with empty drawings."""
    context = SiteContext(library, PlainFigures(), name_files=name_files)
    for page in site_pages(context):
        write_files({page.file: render_page(page, context), **page.files()}, folder)
    write_files(site_assets(context), folder)
