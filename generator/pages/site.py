"""All the pages of a site, in a fixed order: by language, the finder first.

A page knows its address, title and description; its inside is made when it is asked for. The three pages of an
exercise share what does not depend on the side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import partial

from limberleaf.library import Exercise, Side
from limberleaf.library.traced import FILES
from limberleaf.library.translate import in_language
from limberleaf.pages import links
from limberleaf.pages.assets import FOLDER, static_assets
from limberleaf.pages.guest import STYLE, guest_style
from limberleaf.pages.language_edition import LanguageEdition, edition_of
from limberleaf.pages.model import PageKind, SiteContext, SitePage
from limberleaf.pages.render import render_body
from limberleaf.pages.views.collection_view import collection_view
from limberleaf.pages.views.exercise_view import SIDES, SharedParts, exercise_view, side_words
from limberleaf.pages.views.finder_view import finder_index, finder_view
from limberleaf.pages.views.help_view import help_view
from limberleaf.pages.views.ladder_view import ladder_view
from limberleaf.pages.views.page_facts import collection_facts, exercise_facts, ladder_facts
from limberleaf.pages.views.plan_data import DATA, exercise_data, gone_data, language_data, plan_titles
from limberleaf.pages.views.plan_view import plan_view
from limberleaf.pages.views.prose_view import prose_view
from limberleaf.pages.views.retired_view import replacement, retired_view
from limberleaf.pages.views.set_view import set_view

Addresses = Mapping[str, Mapping[str, str]]
PLAN_SCRIPTS = ("plan-code.js", "plan-add.js")


def editions(context: SiteContext) -> list[LanguageEdition]:
    """Give the library in each of the clinic's languages, the first one first."""
    return [edition_of(context, language) for language in context.library.settings.languages]


def site_pages(context: SiteContext) -> list[SitePage]:
    """Make every page of the site, bodies left for later."""
    every = editions(context)
    pages = [page for edition in every for page in _edition_pages(edition)]
    by_address: dict[str, dict[str, str]] = {}
    for page in pages:
        by_address.setdefault(_bare(page, every), {})[page.language] = page.url
    taken = {page.url for page in pages}
    pages = [_with_alternates(page, by_address[_bare(page, every)]) for page in pages]
    return [*pages, *(page for page in _gone(every) if page.url not in taken), _missing(every[0])]


def _bare(page: SitePage, every: list[LanguageEdition]) -> str:
    first = every[0].language
    return page.url if page.language == first else page.url.removeprefix(f"{page.language}/")


def _with_alternates(page: SitePage, found: Mapping[str, str]) -> SitePage:
    if len(found) < 2:
        return page
    return SitePage(**{**vars(page), "alternates": found})


def _edition_pages(edition: LanguageEdition) -> Iterator[SitePage]:
    say = edition.words.say
    yield _page(
        edition, links.HOME, "finder", say("site.finder"), say("finder.description", clinic=edition.name),
        partial(finder_view, edition),
        loads=("finder-core.js", "finder.js", f"finder-{edition.language}.js", *PLAN_SCRIPTS),
    )  # fmt: skip
    for exercise in edition.exercises.values():
        yield from _exercise_pages(edition, exercise)
    for name, ladder in edition.ladders.items():
        yield _page(
            edition, links.ladder_address(name), "ladder", ladder.title, edition.renderer("").plain(ladder.aim),
            partial(ladder_view, edition, ladder), facts=partial(ladder_facts, edition, ladder),
            reviewed=ladder.review.reviewed,
            about=(edition.traced_name("ladders"), name),
        )  # fmt: skip
    for name, one in edition.collections.items():
        yield _page(
            edition, links.collection_address(name), "collection", one.title, edition.renderer("").plain(one.summary),
            partial(collection_view, edition, one), facts=partial(collection_facts, edition, one),
            reviewed=one.review.reviewed,
            about=(edition.traced_name("collections"), name),
        )  # fmt: skip
    yield from _set_pages(edition)
    yield _page(
        edition, links.HELP, "help", say("site.help"), say("help.description"),
        partial(help_view, edition),
    )  # fmt: skip
    yield from _plan_pages(edition)
    for name, prose in edition.prose.items():
        yield _page(
            edition, links.prose_address(name), "prose", prose.title, prose.description,
            partial(prose_view, edition, prose), about=(edition.traced_name("pages"), name),
        )  # fmt: skip


def _set_pages(edition: LanguageEdition) -> Iterator[SitePage]:
    plans = edition.context.library.plans
    for name, ready in (plans.entry.sets if plans else {}).items():
        yield _page(
            edition, links.set_address(name), "set", ready.title.in_language(edition.language),
            edition.words.say("set.description", clinic=edition.name), partial(set_view, edition, ready),
            about=(FILES, "plans"),
        )  # fmt: skip


def _plan_pages(edition: LanguageEdition) -> Iterator[SitePage]:
    words = f"plan-{edition.language}.js"
    pages: tuple[tuple[str, PageKind, str], ...] = (
        (links.PLAN, "plan", "plan.js"),
        (links.FOLLOW, "follow", "follow.js"),
    )
    for address, kind, script in pages:
        yield _page(
            edition, address, kind, edition.words.say(f"{kind}.title"), edition.words.say(f"{kind}.description"),
            partial(plan_view, edition),
            loads=("plan.css", "plan-code.js", "plan-dose.js", "plan-page.js", words, script),
        )  # fmt: skip


def _page(  # noqa: PLR0913 - what a page is, in one place
    edition: LanguageEdition,
    address: str,
    kind: PageKind,
    title: str,
    description: str,
    view: Callable[[str], object],
    *,
    loads: tuple[str, ...] = (),
    reviewed: date | None = None,
    about: tuple[str, str] | None = None,
    facts: Callable[[], str] = str,
) -> SitePage:
    url = edition.at(address)
    scripts, styles = (tuple(name for name in loads if name.endswith(end)) for end in (".js", ".css"))
    return SitePage(
        url, kind, edition.language, title, description,
        body=lambda: render_body(kind, edition, url, {"v": view(url)}) + facts(), scripts=scripts, styles=styles,
        reviewed=reviewed, about=(about,) if about else (),
    )  # fmt: skip


def _exercise_pages(edition: LanguageEdition, exercise: Exercise) -> Iterator[SitePage]:
    shared = SharedParts(edition, exercise)
    for side in SIDES if exercise.sides == "one" else (None,):
        url = edition.at(links.exercise_address(exercise.code, side))
        yield _exercise_page(shared, side, url)


def _exercise_page(shared: SharedParts, side: Side | None, url: str) -> SitePage:
    edition, exercise = shared.edition, shared.exercise
    renderer = edition.renderer(url, exercise, side)
    title = renderer.plain(exercise.title)
    if side:
        title = edition.words.say(
            "exercise.title_sided", title=title, side=edition.words.say(f"exercise.side_{side}")
        )

    def facts() -> str:
        return exercise_facts(shared) if side is None else ""  # the page of either side is the canonical one

    def beside() -> dict[str, str]:
        files = {DATA: exercise_data(edition, exercise)} if side is None else {}
        if edition.is_first and side != "right":  # elsewhere pages show these (`links.picture_address`)
            figures, words = edition.context.figures, side_words(renderer)
            panels = figures.panels(exercise, side, edition.language, words)
            files.update({f"panel-{i}.svg": panel.svg for i, panel in enumerate(panels, 1)})
            motion = figures.motion(exercise, side, edition.language, words)
            if motion:
                files["motion.svg"] = motion
            if side is None:
                files["thumb.svg"] = figures.thumbnail(exercise, edition.language, words)
        return files

    return SitePage(
        url, "exercise", edition.language, title, renderer.plain(exercise.aim),
        body=lambda: render_body("exercise", edition, url, {"v": exercise_view(shared, side, url)}) + facts(),
        beside=beside, scripts=PLAN_SCRIPTS, reviewed=exercise.review.reviewed,
        about=((edition.traced_name("exercises"), exercise.code),),
    )  # fmt: skip


def _gone(every: list[LanguageEdition]) -> Iterator[SitePage]:
    """Give the pages at the addresses of retired exercises, so that none of them dies."""
    for edition in every:
        for code, loaded in edition.context.library.exercises.items():
            if loaded.entry.status != "retired":
                continue
            exercise = in_language(edition.context.library, code, edition.language)
            if exercise:
                for side in SIDES if exercise.sides == "one" else (None,):
                    yield _gone_page(edition, exercise, side)


def _gone_page(edition: LanguageEdition, exercise: Exercise, side: Side | None) -> SitePage:
    url = edition.at(links.exercise_address(exercise.code, side))
    title = edition.renderer(url, exercise).plain(exercise.title)
    target = replacement(edition, exercise, side)
    about = (("exercises", exercise.code), ("translations", f"{exercise.code}/{edition.language}"))

    def beside() -> dict[str, str]:
        return {DATA: gone_data(edition, exercise)} if side is None else {}

    if target is not None:
        title = edition.words.say("retired.moved")
        view = {"href": edition.renderer(url).href(target), "title": title}
        return SitePage(
            url, "redirect", edition.language, title, title, go_to=target,
            body=lambda: render_body("redirect", edition, url, view), beside=beside, about=about,
        )  # fmt: skip
    return SitePage(
        url, "retired", edition.language, title, edition.words.say("retired.description"),
        body=lambda: render_body("retired", edition, url, {"v": retired_view(edition, exercise, url)}),
        beside=beside, reviewed=exercise.review.reviewed, about=about,
    )  # fmt: skip


def _missing(edition: LanguageEdition) -> SitePage:
    say = edition.words.say
    home = links.Links(links.MISSING, root=edition.context.path).to(edition.at(links.HOME))
    return SitePage(
        links.MISSING, "not_found", edition.language, say("missing.title"), say("missing.description"),
        body=lambda: render_body("not_found", edition, links.MISSING, {"home": home}),
    )  # fmt: skip


def site_assets(context: SiteContext) -> dict[str, bytes]:
    """Give the files that pages share, by path: style, scripts and indexes."""
    assets = shared_assets()
    for path, make in site_indexes(context).items():
        assets[path] = make().encode()
    return assets


def shared_assets() -> dict[str, bytes]:
    """Give the files that are the same in every site, by path."""
    return {
        f"{FOLDER}{STYLE}": guest_style(),
        **{f"{FOLDER}{name}": data for name, data in static_assets().items()},
    }


def site_indexes(context: SiteContext) -> dict[str, Callable[[], str]]:
    """Give what makes each file of facts that pages load, by path: the finder's index and the plans' words."""
    indexes: dict[str, Callable[[], str]] = {}
    for edition in editions(context):
        indexes[f"{FOLDER}finder-{edition.language}.js"] = partial(finder_index, edition)
        indexes[f"{FOLDER}plan-titles-{edition.language}.js"] = partial(plan_titles, edition)
        indexes[f"{FOLDER}plan-{edition.language}.js"] = partial(language_data, edition)
    return indexes
