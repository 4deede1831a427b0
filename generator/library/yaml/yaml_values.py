"""Plain values written as YAML in the way the library is written: one line for what is short, a line each for texts.

Each text is read again as it would stand in the file, so that quotes are put where YAML needs them and nowhere else.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import yaml

from limberleaf.library.yaml.source import compose

SHORT = 100
"""Characters of a mapping that stands on one line; the lines of hand-written entries are about as long."""
SHORT_ITEM = 60
"""Characters of a mapping that stands on one line as an item of a list."""


def scalar(value: object, *, flow: bool, style: str | None = None) -> str:
    """Write a text, number or truth value; `style` is the quote it had before (`'`, `"`), kept when it can be."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if value is None:
        return "null"
    text = str(value)
    if style is None and reads_as(text, text, flow=flow):
        return text
    if style == "'" and "\n" not in text:
        quoted = "'" + text.replace("'", "''") + "'"
        if reads_as(quoted, text, flow=flow):
            return quoted
    return double_quoted(text)


def double_quoted(text: str) -> str:
    """Write a text in double quotes; JSON's escapes are YAML's, and what YAML calls a line break is escaped too."""
    written = json.dumps(text, ensure_ascii=False)
    return "".join(
        f"\\u{ord(one):04x}" if "\x7f" <= one <= "\xa0" or one in "\u2028\u2029\ufeff" else one
        for one in written
    )


@lru_cache(maxsize=4096)
def reads_as(written: str, text: str, *, flow: bool) -> bool:
    """Tell whether `written` gives the text `text` where a value stands (inside brackets with `flow`)."""
    if not written.strip() or "\n" in written or "\r" in written:
        return False
    try:
        root = compose(f"{{key: {written}, next: 1}}" if flow else f"key: {written}\nnext: 1\n")
    except yaml.YAMLError:
        return False
    if not isinstance(root, yaml.MappingNode) or len(root.value) != 2:
        return False
    node = root.value[0][1]
    return isinstance(node, yaml.ScalarNode) and node.tag.endswith(":str") and node.value == text


def in_flow(value: Any) -> str:
    """Write a value on one line, in brackets."""
    if isinstance(value, Mapping):
        return (
            "{" + ", ".join(f"{scalar(key, flow=True)}: {in_flow(item)}" for key, item in value.items()) + "}"
        )
    if isinstance(value, list):
        return "[" + ", ".join(map(in_flow, value)) + "]"
    return scalar(value, flow=True)


def after_key(value: Any, indent: int) -> str:
    """Write a value as it stands behind `key:` at `indent`, with the space or line break that goes before it."""
    if isinstance(value, list):
        plain = all(not isinstance(item, Mapping | list) for item in value)
        words = plain and all(not isinstance(item, str) or " " not in item for item in value)
        if not value or (words and len(in_flow(value)) <= SHORT):
            return f" {in_flow(value)}"
        pad = " " * (indent + 2)
        return "".join(f"\n{pad}- {item_text(item, indent + 4)}" for item in value)
    if isinstance(value, Mapping):
        if not value or is_short(value, SHORT):
            return f" {in_flow(value)}"
        pad = " " * (indent + 2)
        return "".join(
            f"\n{pad}{scalar(key, flow=False)}:{after_key(item, indent + 2)}" for key, item in value.items()
        )
    return f" {scalar(value, flow=False)}"


def item_text(value: Any, indent: int, *, flow: bool | None = None) -> str:
    """Write an item of a list as it stands behind its dash; `indent` is that of what stands behind the dash."""
    if isinstance(value, Mapping):
        if flow or (flow is None and is_short(value, SHORT_ITEM)) or not value:
            return in_flow(value)
        pad = " " * indent
        return f"\n{pad}".join(
            f"{scalar(key, flow=False)}:{after_key(item, indent)}" for key, item in value.items()
        )
    if isinstance(value, list):
        return in_flow(value)
    return scalar(value, flow=False)


def is_short(value: Any, most: int) -> bool:
    """Tell whether a mapping fits one line and holds no list of sentences."""
    return len(in_flow(value)) <= most and not _sentences(value)


def _sentences(value: Any) -> bool:
    if isinstance(value, Mapping):
        return any(_sentences(item) for item in value.values())
    return isinstance(value, list) and any(isinstance(item, str) and " " in item for item in value)
