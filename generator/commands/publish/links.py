"""`limberleaf links`: every address of the library, for people, for a table, for the desk."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, pages_of, read_library
from limberleaf.output import Ledger

if TYPE_CHECKING:
    from limberleaf.handouts.desk_sheet import Row
    from limberleaf.library import Library
    from limberleaf.pages import SitePage

COLUMNS = ("address", "title", "kind", "language", "state", "leads_to")
SHEET_KINDS = ("collection", "ladder", "exercise")


@click.command(name="links")
@content_option
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "json", "html", "pdf"]), default="text", show_default=True,
    help="html and pdf are a desk sheet with QR codes.",
)  # fmt: skip
@click.option(
    "--output", "-o", type=click.Path(path_type=Path, dir_okay=False), help="Write to a file instead."
)
@click.option("--kind", multiple=True, help="Only pages of this kind: exercise, ladder, collection ...")
@click.option("--language", help="Only pages in this language (desk sheet: the library's first).")
@click.option("--sides", is_flag=True, help="On the desk sheet, left and right pages too.")
def command(
    content: Path, form: str, output: Path | None, kind: tuple[str, ...], language: str | None, sides: bool
) -> None:
    """List every address with its title: as text, CSV, JSON, or a printable desk sheet with QR codes.

    Addresses that moved or were retired are listed with their state; the desk sheet leaves them out.
    """
    library = read_library(content)
    pages = [page for page in pages_of(library) if not page.url.endswith(".html")]
    kinds = sorted({page.kind for page in pages})
    for name in kind:
        if name not in kinds:
            raise click.BadParameter(f"choose from {', '.join(kinds)}", param_hint="--kind")
    known = library.settings.languages
    if language and language not in known:
        raise click.BadParameter(f"choose from {', '.join(known)}", param_hint="--language")
    if form in ("html", "pdf"):
        if output is None:
            raise click.UsageError(f"Name the file to write: limberleaf links --format {form} -o desk.{form}")
        _desk_sheet(library, pages, form, output, kind, language or library.settings.language, sides)
        return
    chosen = [
        page
        for page in pages
        if (not kind or page.kind in kind) and (not language or page.language == language)
    ]
    text = {"csv": _csv, "json": _json, "text": _text}[form](library, chosen)
    if output:
        Ledger(content).write(output, text)
        click.echo(f"{len(chosen)} addresses in {output}")
    else:
        click.echo(text, nl=False)


def _state(page: SitePage) -> str:
    return page.kind if page.kind in ("redirect", "retired") else "page"


def _text(library: Library, pages: list[SitePage]) -> str:
    site = library.settings.site
    wide = max((len(page.url) for page in pages), default=0)
    lines = [f"{site}"]
    for page in pages:
        goes = f" -> /{page.go_to}" if page.kind == "redirect" else ""
        state = "" if _state(page) == "page" else f" [{_state(page)}]"
        lines.append(f"  /{page.url:<{wide}}  {page.title}{state}{goes}")
    return "\n".join(lines) + "\n"


def _json(library: Library, pages: list[SitePage]) -> str:
    rows = [dict(zip(COLUMNS, _facts(library, page), strict=True)) for page in pages]
    return json.dumps(rows, indent=2, ensure_ascii=False) + "\n"


def _facts(library: Library, page: SitePage) -> tuple[str, ...]:
    site = library.settings.site
    goes = site + page.go_to if page.kind == "redirect" else ""
    return (site + page.url, page.title, page.kind, page.language, _state(page), goes)


def _csv(library: Library, pages: list[SitePage]) -> str:
    buffer = io.StringIO()
    writer = csv.writer(buffer)  # RFC 4180: comma, quotes where needed, CRLF
    writer.writerow(COLUMNS)
    for page in pages:
        writer.writerow(_cell(cell) for cell in _facts(library, page))
    return buffer.getvalue()


def _cell(text: str) -> str:
    """Keep a spreadsheet from taking a title for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def _desk_sheet(
    library: Library,
    pages: list[SitePage],
    form: str,
    output: Path,
    kind: tuple[str, ...],
    language: str,
    sides: bool,
) -> None:
    from limberleaf.handouts.desk_sheet import desk_sheet, desk_sheet_html
    from limberleaf.words import interface_words

    words = interface_words(language)
    rows = list(_rows(library, pages, kind or SHEET_KINDS, language, sides))
    if not rows:
        raise click.ClickException("No page fits these choices; nothing was written.")
    clinic = library.settings.name.in_language(language)
    paper = library.settings.paper
    if form == "html":
        Ledger(library.root).write(output, desk_sheet_html(rows, clinic, words, paper))
    else:
        from limberleaf.handouts.typeset import HandoutError, Typesetter

        try:
            pdf = Typesetter().pdf(desk_sheet(rows, clinic, words, paper))
        except HandoutError as error:
            raise click.ClickException("\n".join(f.message + " " + f.hint for f in error.findings)) from None
        Ledger(library.root).write(output, pdf)
    click.echo(f"{len(rows)} addresses in {output}")


def _rows(
    library: Library, pages: list[SitePage], kinds: tuple[str, ...], language: str, sides: bool
) -> Iterator[Row]:
    from limberleaf.handouts.desk_sheet import Row
    from limberleaf.pages.links import in_words
    from limberleaf.words import interface_words

    words = interface_words(language)
    site = library.settings.site
    found = [page for page in pages if page.kind in kinds and page.language == language]
    for page in sorted(found, key=lambda page: kinds.index(page.kind)):
        parts = page.url.strip("/").split("/")
        sided = parts[-1] in ("left", "right")
        if sided and not sides:
            continue
        code = parts[-2] if sided else parts[-1]
        loaded = library.exercises.get(code) if page.kind == "exercise" else None
        group = (
            words.say(f"regions.{loaded.entry.region}")
            if loaded
            else words.say(f"desk_sheet.{page.kind}", n=2)
        )
        yield Row(
            group, page.title, code.upper() if loaded else "", site + page.url, in_words(site, page.url)
        )
