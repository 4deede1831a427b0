"""From views to the desk's HTML: Jinja with everything escaped and every name required."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

POLICY = (
    "default-src 'none'; style-src {own}; script-src {own}; img-src {own}; connect-src 'self'; "
    "frame-src 'self'; base-uri 'none'; form-action 'none'"
)
"""The site's own policy, and leave to ask the desk itself; a copy on a disk names the scheme."""


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("limberleaf.desk", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters["day"] = _day
    environment.filters["number"] = "{:,}".format
    return environment


def _day(value: date | None) -> str:
    return f"{value.day} {value:%B %Y}" if value else ""


def document(
    template: str, path: str, title: str, scripts: Sequence[str], *, live: bool, **values: object
) -> str:
    """Render a whole page at `path` below the desk; links are relative to it."""
    return _environment().get_template(template).render(
        title=title, up="../" * path.count("/"), here=path, scripts=scripts, live=live,
        policy=POLICY.format(own="'self'" if live else "'self' file:"), **values,
    )  # fmt: skip


def fragment(template: str, **values: object) -> str:
    """Render a piece of a page."""
    return _environment().get_template(template).render(**values)
