"""Making pages, and making again only those whose inputs changed: over one preview and over many builds.

While a page is made, everything it reads of the library is noted (store/trace.py). It is kept with those inputs, and
used again as long as each of them, the code and what the page is called are the same. Its texts are kept by their own
hash and read back only when they have to be written.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from limberleaf.clinical.coverage import missing_on_page
from limberleaf.findings import Finding
from limberleaf.open_data.files import about_file, library_files, schema_file
from limberleaf.open_data.parts import PIECES, data_parts
from limberleaf.pages import SiteContext, SitePage, render_page
from limberleaf.pages.frame import framed
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.model import PageKind
from limberleaf.pages.render import follow_files
from limberleaf.pages.site import editions, site_indexes
from limberleaf.progress import counted
from limberleaf.store import Store, StoredText, code_key, content_key
from limberleaf.store.trace import WHOLE, note, recording

KIND = "page"
_WAITS: Mapping[PageKind, int] = {"exercise": 1, "ladder": 2, "set": 2, "collection": 2, "finder": 2}
"""Pages that show one figure, and after them those that show many: other processes may still be drawing these."""

log = logging.getLogger("limberleaf.pages_made")
"""Says of each page why it was made again or that it was kept: `limberleaf build --explain` prints it."""


@dataclass(frozen=True)
class MadePage:
    """A page with all its files: the inside for any theme, the whole document for ours, the files beside it."""

    page: SitePage
    document: StoredText
    beside: Mapping[str, StoredText]
    missing: tuple[Finding, ...]
    why: str = field(default="", compare=False)
    """Why it was made in this build; empty when it was taken from the cache."""


@dataclass(frozen=True)
class _Product:
    """Something to make: its address, what its key holds besides its inputs, the entries it is about, and how."""

    name: str
    key: str
    about: tuple[tuple[str, str], ...]
    make: Callable[[], tuple[dict[str, str], tuple[Finding, ...]]]


@dataclass(frozen=True)
class _Result:
    files: Mapping[str, StoredText]
    missing: tuple[Finding, ...]
    why: str


class PageCache:
    """Makes pages and remembers them with their inputs, for as long as one site builder lives, and in its store."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._records: dict[str, dict[str, Any]] = {}

    def make(self, pages: Sequence[SitePage], context: SiteContext) -> list[MadePage]:
        """Make every page, or give it as it was made from the same inputs; those that wait for figures last."""
        shared = _shared_key(context)
        products = [(page, _page_product(page, context, shared)) for page in pages]
        self._recall([product.name for _, product in products])
        made: dict[str, MadePage] = {}
        in_turn = sorted(products, key=lambda one: _WAITS.get(one[0].kind, 0))
        for page, product in counted("Making pages", in_turn):
            result = self._one(product, context)
            files = dict(result.files)
            document = files.pop(page.file)
            log.debug("%s: %s", page.url, f"made, because {result.why}" if result.why else "kept as it was")
            made[page.url] = MadePage(page, document, files, result.missing, result.why)
        names = {product.name for _, product in products}
        self._records = {name: one for name, one in self._records.items() if name in names}
        return [made[page.url] for page in pages]

    def indexes(self, context: SiteContext) -> dict[str, StoredText]:
        """Make the files of facts that pages load, or give them as they were made from the same inputs."""
        shared = _shared_key(context)
        found: dict[str, StoredText] = {}
        for path, make in site_indexes(context).items():
            product = _Product(_place(path, context), shared, (), partial(_make_index, path, make))
            self._recall([product.name])
            found.update(self._one(product, context).files)
        return found

    def data(self, context: SiteContext) -> dict[str, StoredText]:
        """Make the library as data for others, by path, from the pieces of each page; unchanged ones are reused."""
        shared, site = _shared_key(context), context.site
        files = self._made("data/schema", content_key(shared, site), partial(schema_file, site), context)
        for edition in editions(context):
            products = [
                _Product(_place(part.name, context), shared, (part.about,), _without_findings(part.make))
                for part in data_parts(edition)
            ]
            self._recall([product.name for product in products])
            parts = [dict(self._one(product, context).files) for product in products]
            pieces = [part.pop(PIECES) for part in parts]
            key = content_key(shared, [piece.digest for piece in pieces])
            files |= self._made(
                f"data/{edition.language}", key, partial(_put_together, edition, pieces), context
            )
            for part in parts:
                files |= part
        about = partial(about_file, files, site)
        return files | self._made("data/about", content_key(shared, site, sorted(files)), about, context)

    def _made(
        self, name: str, key: str, make: Callable[[], dict[str, str]], context: SiteContext
    ) -> dict[str, StoredText]:
        product = _Product(_place(name, context), key, (), _without_findings(make))
        self._recall([product.name])
        return dict(self._one(product, context).files)

    def _recall(self, names: list[str]) -> None:
        stored = self._store.read([name for name in names if name not in self._records], KIND)
        self._records.update({name: record for name, record in stored.items() if _is_record(record)})

    def _one(self, product: _Product, context: SiteContext) -> _Result:
        record = self._records.get(product.name)
        why = "it was not made before"
        if record is not None:
            why = _why(record, product, context)
            if not why:
                return _Result(self._texts(record["files"], product), (), "")
        with recording() as noted:
            for mapping, item in product.about:
                note(mapping, item, WHOLE)
            texts, missing = product.make()
        files = {path: self._store.keep_text(text) for path, text in texts.items()}
        self._records.pop(product.name, None)
        if not missing:  # only whole, safe pages are used again
            record = {"key": product.key, "inputs": context.traced.inputs(noted), "files": files}
            self._records[product.name] = record
            self._store.keep({product.name: record}, KIND)
        return _Result(self._texts(files, product), missing, why)

    def _texts(self, files: Mapping[str, str], product: _Product) -> dict[str, StoredText]:
        return {
            path: self._store.text(digest, partial(_again, product, path)) for path, digest in files.items()
        }


def _put_together(edition: LanguageEdition, pieces: Sequence[StoredText]) -> dict[str, str]:
    return library_files(edition, [json.loads(piece.text) for piece in pieces])


def _without_findings(
    make: Callable[[], dict[str, str]],
) -> Callable[[], tuple[dict[str, str], tuple[Finding, ...]]]:
    return lambda: (make(), ())


def _make_index(path: str, make: Callable[[], str]) -> tuple[dict[str, str], tuple[Finding, ...]]:
    return {path: make()}, ()


def _again(product: _Product, path: str) -> str:
    return product.make()[0][path]


def _why(record: Mapping[str, Any], product: _Product, context: SiteContext) -> str:
    if record["key"] != product.key:
        return "its address, its title, a setting of the build or the program changed"
    changed = context.traced.changed(record["inputs"])
    return f"this changed: {changed}" if changed else ""


def _is_record(record: object) -> bool:
    return isinstance(record, dict) and {"key", "inputs", "files"} <= record.keys()


def _shared_key(context: SiteContext) -> str:
    return content_key(
        code_key("limberleaf", "limberleaf.diagrams"),
        follow_files(),
        context.name_files,
        context.preview,
        context.share,
        context.base,
        context.own_styles,
        context.own.key,
    )


def _place(name: str, context: SiteContext) -> str:
    """Give the store's key of a product: one for each address and way of building, so that the new replaces the old."""
    ways = (("files", context.name_files), ("preview", context.preview), ("share", context.share))
    return " ".join(("site", *(way for way, on in ways if on), f"/{name}"))


def _page_product(page: SitePage, context: SiteContext, shared: str) -> _Product:
    key = content_key(
        shared, page.url, page.kind, page.language, page.title, page.description, dict(page.alternates),
        page.go_to, page.reviewed, page.scripts, page.styles, page.about, context.papers.get(page.url),
    )  # fmt: skip
    return _Product(_place(page.url, context), key, page.about, lambda: _make(page, context))


def _make(page: SitePage, context: SiteContext) -> tuple[dict[str, str], tuple[Finding, ...]]:
    html = page.body()
    missing: list[Finding] = []
    if page.kind not in ("redirect", "retired"):
        missing = missing_on_page(context.library, page.url, page.language, html)
    whole = replace(page, body=lambda: html)
    return {page.file: render_page(whole, context), **framed(whole, context), **page.files()}, tuple(missing)
