"""The MkDocs plugin: a thin adapter that hands MkDocs (or ProperDocs) the finished pages of a library.

In order: `on_config` reads, checks and composes everything and points MkDocs at a fresh folder; `on_files` takes the
pages out of MkDocs' hands, or in another theme adds them to it; `on_page_content` gives other themes the page's inner
HTML; `on_post_build` writes the finished documents of our own theme and swaps the fresh folder in. A preview in our own
theme writes only what an edit changed. Nothing here knows how a page is made.
"""

from __future__ import annotations

import logging
import re
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from urllib.parse import urlsplit

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel

from limberleaf.clinical.coverage import missing_on_page
from limberleaf.findings import Finding, has_errors
from limberleaf.guard import end_like_ctrl_c
from limberleaf.output import OutputError, explained
from limberleaf.publish.compose import Composition, GuestPage, SiteBuilder
from limberleaf.publish.mkdocs_file import FILE as FILE_NAME
from limberleaf.publish.mkdocs_file import host_findings, read_mkdocs_file
from limberleaf.publish.preview_hosts import only_known_hosts
from limberleaf.publish.swap import KeptFolder, Landing, read_files, write_files
from limberleaf.store import FILE, Store

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.livereload import LiveReloadServer
    from mkdocs.structure.pages import Page

log = logging.getLogger("mkdocs.plugins.limberleaf")

OWN_THEME = "limberleaf"
_LEVELS = {"error": logging.ERROR, "warning": logging.INFO, "note": logging.DEBUG}


class LimberleafOptions(Config):
    """Options in mkdocs.yml, with paths relative to that file."""

    content = config_options.Type(str, default="content")
    cache = config_options.Type(str, default=".limberleaf")


class LimberleafPlugin(BasePlugin[LimberleafOptions]):
    """Adds a clinic's library to a MkDocs site."""

    def __init__(self) -> None:
        self._command = "build"
        self._site_builder: SiteBuilder | None = None
        self._composition: Composition | None = None
        self._findings: list[Finding] = []
        self._landing: Landing | None = None
        self._fresh: Path | None = None
        self._shown: KeptFolder | None = None
        self._reported_hosts: set[str] = set()

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Remember the command; having this method keeps the plugin alive between rebuilds of a preview."""
        self._command = command
        end_like_ctrl_c()

    @event_priority(-100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read, check and compose the library; stop here, before anything is written, when it has errors."""
        base = Path(config.config_file_path or ".").resolve().parent
        content = base / self.config.content
        if self._site_builder is None:
            self._site_builder = SiteBuilder(content, base / self.config.cache)
        preview = self._command == "serve"
        if not preview:
            with _as_plugin_error():
                self._landing = Landing(Path(config.site_dir), content=content)
        file = read_mkdocs_file(Path(config.config_file_path or FILE_NAME))
        composition, findings = self._site_builder.compose(
            date.today(),
            preview=preview,
            own_styles=tuple(config.extra_css) if config.theme.name == OWN_THEME else (),
            also=lambda library: host_findings(library, file, site_url=None if preview else config.site_url),
        )
        reported = set(self._findings)
        for finding in findings:
            # In a preview an edit brings what is new, and the errors, whose entries are left out.
            if finding.severity == "error" or finding not in reported:
                log.log(_LEVELS[finding.severity], _log_line(finding, self.config.content))
        if composition is None or (has_errors(findings) and not preview):
            count = sum(finding.severity == "error" for finding in findings)
            raise PluginError(
                f"{count} error{'s' if count != 1 else ''} in {self.config.content}: nothing was built, and the "
                "published folder is as it was. `limberleaf check` lists what to fix."
            )
        self._composition, self._findings = composition, findings
        if config.theme.name == OWN_THEME:
            config.theme.static_templates -= {"sitemap.xml", "404.html"}
        if self._landing is not None:
            with _as_plugin_error():
                config.site_dir = str(self._landing.fresh)
        elif config.theme.name == OWN_THEME:
            # MkDocs empties its folder before each build; the one that is shown keeps what stays the same.
            self._shown = self._shown or KeptFolder(Path(config.site_dir))
            self._fresh = self._fresh or Path(tempfile.mkdtemp(prefix="limberleaf-"))
            config.site_dir = str(self._fresh)
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Leave the pages to `on_post_build` in our own theme, whose documents are whole; add them in any other."""
        composition = self._composed()
        for file in list(files.documentation_pages()):
            if file.src_uri in composition.prose_sources:
                files.remove(file)
        if config.theme.name == OWN_THEME:
            self._give_way(files, composition.outputs, config.docs_dir)
            return files
        added = [
            File.generated(
                config,
                page.source_uri,
                content=page.front_matter,
                inclusion=InclusionLevel.INCLUDED if page.in_nav else InclusionLevel.NOT_IN_NAV,
            )
            for page in composition.guest_pages.values()
        ]
        added += [
            File.generated(config, path, content=text) for path, text in composition.static_files.items()
        ]
        self._give_way(files, [file.src_uri for file in added], config.docs_dir)
        for file in added:
            files.append(file)
        return files

    def _give_way(self, files: Files, ours: Iterable[str], docs_dir: str) -> None:
        """Take files out where they would hide one of ours, and say which of the clinic's own are left out.

        MkDocs' themes bring a sitemap and a page for lost readers; nobody wrote those, so no message is printed.
        """
        there = {file.src_uri: file for file in files}
        for path in ours:
            hidden = there.get(path)
            if hidden is None:
                continue
            files.remove(hidden)
            if hidden.src_dir == docs_dir:
                log.warning(
                    "%s is left out: the library has its own file at that address. Give yours another name.",
                    f"{Path(docs_dir).name}/{path}",
                )

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """Give a theme of another make the page's inner HTML; our pages never pass through Markdown."""
        guest = self._composed().guest_pages.get(page.file.src_uri)
        return guest.body() if guest and page.file.generated_by else html

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Put our style and scripts into the head of a third-party theme, and warn of the hosts it loads from."""
        guest = (
            self._composed().guest_pages.get(page.file.src_uri) if config.theme.name != OWN_THEME else None
        )
        if guest is None or not page.file.generated_by:
            return output
        self._prove_boxes(guest, output)
        for host in called_hosts(output, config.site_url or "") - self._reported_hosts:
            self._reported_hosts.add(host)
            log.warning(
                "The theme “%s” loads files from %s, which then learns which exercise a patient opens. Turn that off "
                "in mkdocs.yml, or use the theme limberleaf.",
                config.theme.name,
                host,
            )
        return re.sub(
            "</head>", lambda end: f"{guest.head()}\n{end[0]}", output, count=1, flags=re.IGNORECASE
        )

    def _prove_boxes(self, guest: GuestPage, output: str) -> None:
        """Stop when the theme's own document no longer shows every sign and action of the page's boxes."""
        lost = missing_on_page(self._composed().library, guest.page.url, guest.page.language, output)
        if not lost:
            return
        if self._command == "serve":
            log.warning("%s: %s", guest.page.url, lost[0].message)
        else:
            raise PluginError(
                f"{guest.page.url}: {lost[0].message} The theme must show what the plugin gives it."
            )

    def on_serve(self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Any) -> LiveReloadServer:
        """Follow the entries and the templates too, and put the editor's desk beside the site."""
        for folder in self._composed().watched:
            server.watch(str(folder))
        from limberleaf.desk.preview import add_desk

        store = Store(Path(config.config_file_path or ".").resolve().parent / self.config.cache / FILE)
        address = add_desk(server, lambda: (self._composed().library, self._findings), store, date.today)
        log.info("The editor's desk is at %s", address)
        site = server.get_app()
        if site is not None:
            server.set_app(only_known_hosts(site, str(server.server_address[0])))
        return server

    @event_priority(-100)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Write our pages and swap the folder in, unless MkDocs is about to fail a strict build for its warnings."""
        composition = self._composed()
        composition.save()
        files = composition.outputs if config.theme.name == OWN_THEME else {}
        landing, builder = self._landing, self._site_builder
        if landing is not None and builder is not None and not (config.strict and _warned()):
            with _as_plugin_error():
                write_files(
                    files,
                    landing.fresh,
                    published=landing.target,
                    known=builder.known_outputs("mkdocs", landing.target),
                )
                landing.land(composition.keep_lock)
            config.site_dir = str(landing.target)
            landing.close()
            self._landing = None
        elif self._shown is not None and self._fresh is not None:
            self._shown.bring_to({**read_files(self._fresh), **files})

    def on_build_error(self, *, error: Exception) -> None:
        """Remove what was written; the published folder was never touched."""
        if self._landing is not None:
            self._landing.close()
            self._landing = None
            log.error("The build failed; the published folder is as it was.")

    def on_shutdown(self) -> None:
        """Remove what did not land, and the folder a preview built in."""
        if self._landing is not None:
            self._landing.close()
        if self._fresh is not None:
            shutil.rmtree(self._fresh, ignore_errors=True)

    def _composed(self) -> Composition:
        if self._composition is None:
            raise PluginError("The library was not composed; is the limberleaf plugin listed twice?")
        return self._composition


@contextmanager
def _as_plugin_error() -> Iterator[None]:
    """Give what the disk refused as the host's own kind of error, which it prints without a traceback."""
    try:
        yield
    except OutputError as error:
        raise PluginError(str(error)) from None
    except OSError as error:
        raise PluginError(str(explained(error, Path()))) from None


_LOADED = re.compile(
    r"<(?:script|img|iframe|source)\b[^>]*?\bsrc=[\"']?((?:https?:)?//[^\"'\s>]+)"
    r"|<link\b(?=[^>]*\brel=[\"']?(?:stylesheet|preconnect|preload|icon|shortcut))[^>]*?\bhref=[\"']?((?:https?:)?//[^\"'\s>]+)",
    re.IGNORECASE,
)
"""What a browser fetches by itself when it opens a document."""


def called_hosts(document: str, own: str) -> set[str]:
    """Give the hosts other than the site's own that a document loads files from."""
    found = {urlsplit(match[1] or match[2]).netloc for match in _LOADED.finditer(document)}
    return found - {urlsplit(own).netloc, ""}


def _log_line(finding: Finding, folder: str) -> str:
    return f"{finding.inside(folder).line()} {finding.hint}"


def _warned() -> bool:
    """Tell whether MkDocs counted warnings (its strict mode fails after this plugin's last event)."""
    handlers = logging.getLogger("mkdocs").handlers
    return any(bool(counts()) for handler in handlers if (counts := getattr(handler, "get_counts", None)))
