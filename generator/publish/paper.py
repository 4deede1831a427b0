"""The paper sheet of each page as PDF, made with the site (`handouts: true`) and kept: a build sets only new ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from limberleaf.figures import Figures
from limberleaf.handouts import Handout
from limberleaf.handouts.fonts import find_fonts
from limberleaf.handouts.library import every_figure_request, every_page_handout, set_all
from limberleaf.output import write_atomically
from limberleaf.pages import SiteContext
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.page_figures import PageFigures, adults_of
from limberleaf.store import Store, code_key, content_key


def paper_files(
    context: SiteContext, figures: Figures, store: Store, cache: Path | None
) -> Mapping[str, bytes]:
    """Give the sheet of every exercise, side, ladder and collection in every language, by the address of its page.

    Sheets that were set before lie in `cache`, by what is on them; those no page has any more are removed from there.
    Raises HandoutError at the first that cannot be set.
    """
    paper = SiteContext(
        context.library,
        PageFigures(figures, "print", adults_of(context.library)),
        own=context.own,
        qr=context.qr,
    )
    code, fonts = code_key("limberleaf", "limberleaf.diagrams"), find_fonts().families
    wanted: dict[str, tuple[str, Handout]] = {}
    for language in context.library.settings.languages:
        edition = LanguageEdition(paper, language)
        figures.prepare(every_figure_request(edition, "print"))
        for url, one in every_page_handout(edition):
            key = content_key("paper", code, fonts, one.template, one.reviewed, one.data)
            wanted[url] = (key, one)
    kept = dict(_kept(cache, {key for key, _ in wanted.values()}))
    missing = {key: one for key, one in wanted.values() if key not in kept}
    for key, (_, pdf) in zip(missing, set_all(missing.values(), None, store), strict=True):
        kept[key] = pdf
        if cache is not None:
            with suppress(OSError):  # read-only or full: the next build sets it again
                cache.mkdir(parents=True, exist_ok=True)
                write_atomically(cache / f"{key}.pdf", pdf)
    return {url: kept[key] for url, (key, _) in wanted.items()}


def _kept(cache: Path | None, wanted: set[str]) -> Iterator[tuple[str, bytes]]:
    for file in sorted(cache.glob("*.pdf")) if cache and cache.is_dir() else ():
        with suppress(OSError):
            if file.stem not in wanted:
                file.unlink(missing_ok=True)
            elif (data := file.read_bytes()).rstrip().endswith(b"%%EOF"):
                yield file.stem, data
