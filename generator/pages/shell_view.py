"""What is around every page: the head of the document, the clinic's head with its menu, the clinic's foot."""

from __future__ import annotations

from dataclasses import dataclass, replace

from limberleaf.pages import links
from limberleaf.pages.assets import asset_address
from limberleaf.pages.face import LogoView
from limberleaf.pages.language_edition import edition_of
from limberleaf.pages.links import Links
from limberleaf.pages.model import SiteContext, SitePage
from limberleaf.pages.passage import Passage, Run, phone
from limberleaf.words import interface_words

_ICON_TYPES = {"svg": "image/svg+xml", "png": "image/png", "ico": "image/x-icon"}


OEMBED = "oembed.json"
"""The file beside a page that tells other sites how to frame it."""

_FRAMED = ("exercise", "ladder", "collection")


def has_frame(page: SitePage, context: SiteContext) -> bool:
    """Tell whether a page is written for frames too: in a published site whose clinic asks for it."""
    return (
        context.library.settings.frames
        and page.kind in _FRAMED
        and not (context.preview or context.name_files)
    )


@dataclass(frozen=True)
class MenuLink:
    """A link of the menu or the foot."""

    label: str
    href: str
    current: bool = False


@dataclass(frozen=True)
class LanguageLink:
    """The same page in another language; `href` is relative, `address` whole."""

    language: str
    name: str
    href: str
    address: str
    current: bool


@dataclass(frozen=True)
class Shell:
    """Everything of a document but the inside of `<main>`."""

    language: str
    direction: str
    kind: str
    framed: str
    oembed: str
    title: str
    description: str
    policy: str
    canonical: str
    share: str
    refresh: str
    languages: list[LanguageLink]
    styles: list[str]
    icon: str
    icon_type: str
    logo: LogoView | None
    scripts: list[str]
    clinic: str
    footer: Passage | None
    place: str
    hours: str
    phone: Run
    home: str
    skip: str
    menu_label: str
    menu: list[MenuLink]
    foot_label: str
    foot: list[MenuLink]
    languages_label: str


def content_policy(
    *, name_files: bool = False, preview: bool = False, font: bool = False, clip: bool = False
) -> str:
    """Give the content policy of a document: nothing inline, nothing from elsewhere.

    Fonts and films may be loaded only where the page has one of the clinic's own.

    In a copy opened from disk some browsers do not count files as `'self'`, so the scheme is named. A preview
    lets in the line of script with which MkDocs' preview server reloads the page.
    """
    own = "'self' file:" if name_files else "'self'"
    scripts = f"{own} 'unsafe-inline'; connect-src 'self'" if preview else own
    return (
        f"default-src 'none'; style-src {own}; script-src {scripts}; img-src {own}; "
        f"{f'font-src {own}; ' if font else ''}{f'media-src {own}; ' if clip else ''}"
        "base-uri 'none'; form-action 'none'"
    )


def _has_clip(page: SitePage, context: SiteContext) -> bool:
    media = context.library.media
    item = media.entry.items.get(page.about[0][1]) if media and page.kind == "exercise" else None
    return item is not None and item.clip is not None


def _share(page: SitePage, context: SiteContext) -> str:
    """Give the whole address of the page's picture for messages; empty when it has none."""
    pictured = context.share and page.kind in ("exercise", "ladder", "collection")
    return f"{context.site}{page.url}share.png" if pictured else ""


def shell_view(page: SitePage, context: SiteContext, *, framed: bool = False) -> Shell:
    """Make the shell of a page; `framed`: of its copy without head and foot."""
    edition = edition_of(context, page.language)
    clinic, words, language = edition.clinic, edition.words, edition.language
    face, own = clinic.face, context.own
    logo = own.logo(language)
    icon = own.files.get(face.icon) if face and face.icon else None
    link = Links(page.url, context.name_files, context.path if page.kind == "not_found" else "")
    title = f"{page.title} · {edition.name}" if page.title != edition.name else page.title
    return Shell(
        language=language,
        direction=words.direction,
        kind=page.kind,
        framed=words.say("site.whole") if framed else "",
        oembed=context.site + page.url + OEMBED if has_frame(page, context) and not framed else "",
        title=title,
        description=page.description,
        policy=content_policy(
            name_files=context.name_files,
            preview=context.preview,
            font=own.has_font,
            clip=_has_clip(page, context),
        ),
        share=_share(page, context),
        canonical="" if page.kind == "not_found" else context.site + (page.go_to or page.url),
        refresh=link.to(page.go_to) if page.kind == "redirect" else "",
        languages=_languages(page, context, link),
        styles=[
            *(link.to(asset_address(name)) for name in ("site.css", *page.styles)),
            *(link.to(address) for address in own.styles),
            *(link.to(name) for name in context.own_styles),
        ],
        icon=link.to(icon.address if icon else asset_address("icon.svg")),
        icon_type=_ICON_TYPES[icon.kind] if icon else "image/svg+xml",
        logo=replace(logo, src=link.to(logo.src), dark=logo.dark and link.to(logo.dark)) if logo else None,
        scripts=[link.to(asset_address(name)) for name in ("site.js", *page.scripts)],
        clinic=edition.name,
        footer=edition.renderer(page.url).write(face.footer.in_language(language))
        if face and face.footer
        else None,
        place=clinic.place.in_language(language),
        hours=clinic.hours.in_language(language),
        phone=phone(clinic.phone),
        home=link.to(edition.at(links.HOME)),
        skip=words.say("site.skip"),
        menu_label=words.say("site.menu"),
        menu=[
            MenuLink(words.say(f"site.{name}"), link.to(edition.at(address)), edition.at(address) == page.url)
            for name, address in (("finder", links.HOME), ("plan", links.PLAN), ("help", links.HELP))
        ],
        foot_label=words.say("site.more"),
        foot=[
            MenuLink(one.title, link.to(address), address == page.url)
            for name, one in edition.prose.items()
            for address in (edition.at(links.prose_address(name)),)
        ],
        languages_label=words.say("site.languages"),
    )


def _languages(page: SitePage, context: SiteContext, link: Links) -> list[LanguageLink]:
    return [
        LanguageLink(
            language,
            interface_words(language).say("language_name"),
            link.to(url),
            context.site + url,
            language == page.language,
        )
        for language, url in page.alternates.items()
    ]
