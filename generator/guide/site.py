"""The task pages of the guide and, with the keys of every kind, a small site of plain pages that opens from disk."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from html import escape
from importlib.resources import files

import markdown

from limberleaf.guide.examples import example
from limberleaf.guide.explain import Explanation, explained_at, explanations
from limberleaf.library.guide import Key, keys
from limberleaf.library.schemas import SCHEMAS

CHANGES = "changes"
"""The page of what changed from version to version, which is a file of its own."""

ORDER = (
    "start", "write-an-exercise", "pose", "ask", "cautions", "ladders", "translate", "review", "strangers", "publish",
    "print", "plan", "embed", "brand", "server", "when", "update", "back-up", "privacy", "accessibility",
    "several-clinics", "never-change", "commands", CHANGES,
)  # fmt: skip
"""The task pages, in the order in which a clinic meets them."""


@cache
def topics() -> Mapping[str, str]:
    """Give the Markdown of each task page by its name."""
    folder = files(__package__).joinpath("pages")
    own = {name: folder.joinpath(f"{name}.md") for name in ORDER} | {
        CHANGES: files("limberleaf") / "CHANGES.md"
    }
    return {name: file.read_text("utf-8") for name, file in own.items()}


def title_of(text: str) -> str:
    """Give the title of a task page: its first heading."""
    return text.split("\n", 1)[0].removeprefix("# ").strip()


def site_files() -> dict[str, str]:
    """Give every file of the guide's site by its path: task pages, keys of each kind, findings, a start page."""
    made = {f"{name}.html": _page(title_of(text), _html(text)) for name, text in topics().items()}
    made |= {f"keys-{kind}.html": _page(f"Keys: {kind}", _keys(kind)) for kind in SCHEMAS}
    made["findings.html"] = _page("Findings", _findings())
    made["index.html"] = _page("Guide", _start())
    made["guide.css"] = files(__package__).joinpath("guide.css").read_text("utf-8")
    return made


def _html(text: str) -> str:
    html = markdown.markdown(text, extensions=["fenced_code", "sane_lists"])
    names = {title_of(other): name for name, other in topics().items()}
    return re.sub(
        r"<em>([^<]+)</em>",
        lambda found: f'<a href="{names[found[1]]}.html">{found[1]}</a>' if found[1] in names else found[0],
        html,
    )


def _start() -> str:
    tasks = "".join(
        f'<li><a href="{name}.html">{escape(title_of(text))}</a></li>' for name, text in topics().items()
    )
    kinds = "".join(f'<li><a href="keys-{kind}.html">{escape(kind)}</a></li>' for kind in SCHEMAS)
    return (
        f"<h1>Guide</h1><h2>How to</h2><ul>{tasks}</ul><h2>Every key, by kind</h2><ul>{kinds}</ul>"
        '<h2>What a finding means</h2><ul><li><a href="findings.html">Every finding, by its code</a></li></ul>'
    )


def _keys(kind: str) -> str:
    return f"<h1>Keys: {escape(kind)}</h1><dl>{''.join(_rows(keys(kind)))}</dl>"


def _rows(found: tuple[Key, ...]) -> Iterator[str]:
    for key in found:
        must = "must be there" if key.required else "may be left out"
        default = "" if key.default in (None, []) else f"; by itself: <code>{escape(str(key.default))}</code>"
        codes = ", ".join(f'<a href="findings.html#{one.code}">{one.code}</a>' for one in explained_at(key))
        findings = f"<small>Findings: {codes}</small>" if codes else ""
        shown = f"<pre><code>{escape(example(key))}</code></pre>"
        yield (
            f'<dt id="{escape(key.paths[0])}"><code>{escape(key.path)}</code> <small>{must}{default}'
            f"</small></dt><dd>{escape(key.meaning)}<br><small>Form: {escape(key.form)}.</small>{shown}{findings}</dd>"
        )


def _findings() -> str:
    """Write every finding, topic by topic, each with links to the keys it stands at."""
    rows, topic = ["<h1>Findings</h1>"], ""
    for one in explanations().values():
        if one.topic != topic:
            rows.append(f"{'</dl>' if topic else ''}<h2>{escape(one.topic)}</h2><dl>")
            topic = one.topic
        rows.append(_finding(one))
    return "".join([*rows, "</dl>"])


def _finding(one: Explanation) -> str:
    places = ", ".join(
        f'<a href="keys-{kind}.html#{path}"><code>{escape(kind)} {escape(path)}</code></a>'
        for kind, path in (name.split(" ", 1) for name in one.at)
    )
    at = f"<br><small>Stands at: {places}</small>" if places else ""
    example = f"<pre><code>{escape(one.example)}</code></pre>" if one.example else ""
    return (
        f'<dt id="{one.code}"><code>{one.code}</code> <small>{" or ".join(one.severities)}</small></dt>'
        f"<dd>{escape(one.wrong)}<br><strong>Way out:</strong> {escape(one.way_out)}{at}{example}</dd>"
    )


def _page(title: str, body: str) -> str:
    policy = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<title>{escape(title)} · Limberleaf</title><link rel="stylesheet" href="guide.css"></head>\n'
        f'<body><nav aria-label="Guide"><a href="index.html">Guide</a></nav><main>{body}</main></body></html>\n'
    )
