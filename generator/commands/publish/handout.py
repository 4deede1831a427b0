"""`limberleaf handout`: exercises, ladders, collections and plans on paper, as tagged PDFs."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, read_library, stop_on_errors
from limberleaf.output import Ledger
from limberleaf.store import FILE, FOLDER, Store

if TYPE_CHECKING:
    from limberleaf.figures import Figures
    from limberleaf.handouts import Choice, Handout, Typesetter
    from limberleaf.handouts.sheet import Print
    from limberleaf.library import Side
    from limberleaf.pages.language_edition import LanguageEdition
    from limberleaf.plan import Resolved


@click.command(name="handout")
@click.argument("codes", nargs=-1)
@click.option("--side", type=click.Choice(["left", "right"]), help="The affected side, where there is one.")
@click.option("--large", is_flag=True, help="Large print: 18 pt, one column.")
@click.option("--larger", is_flag=True, help="Larger print: 24 pt, one column.")
@click.option("--pocket", is_flag=True, help="A6 cards, four to a sheet.")
@click.option("--diary", is_flag=True, help="A diary for two weeks, with a card for the next visit.")
@click.option("--labels", is_flag=True, help="Labels to put where the exercises are done.")
@click.option("--wall", multiple=True, metavar="NAME", help="A ladder as a chart for the wall.")
@click.option("--ladder", multiple=True, metavar="NAME", help="The handout of a ladder.")
@click.option("--collection", multiple=True, metavar="NAME", help="The handout of a collection.")
@click.option(
    "--booklet", multiple=True, metavar="NAME", help="A collection as a booklet, and as sheets to fold."
)
@click.option("--plan", metavar="LINK", help="A plan, from its link or the part after #; also as a booklet.")
@click.option(
    "--all", "everything", is_flag=True, help="Every exercise and side, every ladder and collection."
)
@click.option("--language", help="The language, when the library has several.")
@click.option(
    "--fonts", type=click.Path(path_type=Path), help="A folder of fonts to use before the packaged ones."
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("handouts"),
    show_default=True,
    help="The folder to write to.",
)
@content_option
def command(
    *,
    codes: tuple[str, ...],
    side: str | None,
    large: bool,
    larger: bool,
    pocket: bool,
    diary: bool,
    labels: bool,
    wall: tuple[str, ...],
    ladder: tuple[str, ...],
    collection: tuple[str, ...],
    booklet: tuple[str, ...],
    plan: str | None,
    everything: bool,
    language: str | None,
    fonts: Path | None,
    output: Path,
    content: Path,
) -> None:
    """Write handouts as PDF: of the exercises CODES, or of a ladder, a collection, a plan, or all of the library.

    Exits with 1 when there is no such entry or a handout cannot be set.
    """
    from limberleaf.handouts import Choice, HandoutError, Typesetter, find_fonts, font_findings, plan_handout
    from limberleaf.handouts.library import set_all
    from limberleaf.handouts.plan import choices_of

    if not (codes or ladder or wall or collection or booklet or plan or everything):
        raise click.UsageError("Name an exercise, such as kn-03, or use --all.")
    print_ = _print_size(large=large, larger=larger, pocket=pocket)
    found = find_fonts(fonts)
    stop_on_errors(font_findings(found, fonts), folder=content)
    store = Store(content.absolute().parent / FOLDER / FILE)
    edition, figures = _edition(content, language, store)
    _must_know(codes, edition.exercises, "exercise")
    if (diary or labels) and not (codes or plan):
        raise click.UsageError("Name the exercises or a plan for --diary and --labels.")
    _must_know((*ladder, *wall), edition.ladders, "ladder")
    _must_know((*collection, *booklet), edition.collections, "collection")
    choices = [Choice(code, _side_of(edition, code, side)) for code in codes]
    resolved = _plan(edition, plan) if plan else None
    handouts = _handouts(edition, choices, print_, pocket=pocket, ladders=ladder, collections=collection)
    if resolved:
        handouts = chain(handouts, [plan_handout(edition, resolved)])
    beside = [*choices, *(choices_of(resolved) if resolved else [])]
    handouts = chain(handouts, _extras(edition, beside, diary=diary, labels=labels, walls=wall))
    if everything:
        handouts = chain(handouts, _everything(edition, figures, print_))
    writer = _Writer(Typesetter(found), output, Ledger(content))
    try:
        for handout, pdf in set_all(handouts, fonts, store):
            writer.keep(f"{handout.name}.pdf", pdf)
        for handout in _booklets(edition, booklet, resolved):
            writer.write_booklet(handout)
    except HandoutError as error:
        stop_on_errors(error.findings, folder=content)
    finally:
        store.save()
    click.echo(f"{writer.count} {'file' if writer.count == 1 else 'files'} in {output}")


def _print_size(*, large: bool, larger: bool, pocket: bool) -> Print:
    if large + larger + pocket > 1:
        raise click.UsageError("Choose one of --large, --larger and --pocket.")
    return "larger" if larger else "large" if large else "page"


def _edition(content: Path, language: str | None, store: Store) -> tuple[LanguageEdition, Figures]:
    from limberleaf.figures import Figures
    from limberleaf.pages import SiteContext
    from limberleaf.pages.language_edition import LanguageEdition
    from limberleaf.pages.page_figures import PageFigures

    library = read_library(content)
    known = library.settings.languages
    if language is not None and language not in known:
        raise click.BadParameter(f"choose from {', '.join(known)}", param_hint="--language")
    figures = Figures(store)
    context = SiteContext(library, PageFigures(figures, "print", library.settings.adult_for))
    return LanguageEdition(context, language or library.settings.language), figures


def _must_know(names: Sequence[str], known: Collection[str], kind: str) -> None:
    from limberleaf.findings import did_you_mean

    for name in names:
        if name not in known:
            raise click.ClickException(f"There is no approved {kind} {name}. {did_you_mean(name, known)}")


def _side_of(edition: LanguageEdition, code: str, side: str | None) -> Side | None:
    if side is None or edition.exercises[code].sides == "one":
        return "left" if side == "left" else "right" if side == "right" else None
    click.echo(f"{code} is done on both sides; --side does not count for it.", err=True)
    return None


def _plan(edition: LanguageEdition, link: str) -> Resolved:
    from limberleaf.plan import read_fragment, resolve

    reading = read_fragment(link.rpartition("#")[2])
    if reading.plan is None:
        code = reading.trouble.code if reading.trouble else "no_plan"
        raise click.ClickException(edition.words.say(f"plan.troubles.{code}"))
    return resolve(reading.plan, edition.context.library, edition.language)


def _handouts(
    edition: LanguageEdition,
    choices: list[Choice],
    print_: Print,
    *,
    pocket: bool,
    ladders: Sequence[str],
    collections: Sequence[str],
) -> Iterator[Handout]:
    from limberleaf.handouts import collection_handout, exercise_handout, ladder_handout, pocket_handout

    if pocket and choices:
        yield pocket_handout(edition, choices)
    else:
        yield from (exercise_handout(edition, choice, print_) for choice in choices)
    yield from (ladder_handout(edition, name) for name in ladders)
    yield from (collection_handout(edition, name) for name in collections)


def _extras(
    edition: LanguageEdition, choices: list[Choice], *, diary: bool, labels: bool, walls: Sequence[str]
) -> Iterator[Handout]:
    from limberleaf.handouts import diary_handout, label_handout, wall_chart

    if diary:
        yield diary_handout(edition, choices)
    if labels:
        yield label_handout(edition, choices)
    yield from (wall_chart(edition, name) for name in walls)


def _everything(edition: LanguageEdition, figures: Figures, print_: Print) -> Iterator[Handout]:
    from limberleaf.handouts import every_handout
    from limberleaf.handouts.library import every_figure_request

    figures.prepare(every_figure_request(edition, "print"))
    yield from every_handout(edition, print_)


def _booklets(edition: LanguageEdition, names: Sequence[str], resolved: Resolved | None) -> Iterator[Handout]:
    from limberleaf.handouts import booklet_of, collection_booklet

    yield from (collection_booklet(edition, name) for name in names)
    if resolved:
        yield booklet_of(edition, resolved)


class _Writer:
    """Writes handouts into a folder and counts them."""

    def __init__(self, typesetter: Typesetter, output: Path, ledger: Ledger) -> None:
        self._typesetter, self._output, self._ledger = typesetter, output, ledger
        self.count = 0

    def write_booklet(self, handout: Handout) -> None:
        from limberleaf.handouts import folded

        pdf = self._typesetter.pdf(handout)
        self.keep(f"{handout.name}.pdf", pdf)
        name = f"{handout.name}-to-fold.pdf"
        self.keep(name, folded(self._typesetter, handout, pdf))
        click.echo(f"Print {name} on both sides, turned on the short edge. Fold the pile in the middle.")

    def keep(self, name: str, data: bytes) -> None:
        self._ledger.write(self._output / name, data, make=True)
        self.count += 1
