"""Reading one YAML file: plain values out, and the place of every value when something must be reported.

The C loader composes a node graph under YAML 1.2 rules (`no`, `on` and `yes` are words). Values are built from
the nodes here, so that doubled keys and aliases are seen. The graph is kept: it gives line and column by path.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from limberleaf.data_files import CORE_SCHEMA, Yaml12Loader, whole_number
from limberleaf.findings import Finding, Place
from limberleaf.library.files import read_text, shown_path
from limberleaf.library.yaml.scalar_places import written_at
from limberleaf.library.yaml.syntax import syntax_finding
from limberleaf.store.keys import text_key

Loc = tuple[str | int, ...]

MAX_DEPTH = 20
"""Entries nest six deep; the loader recurses, so a deeper file is refused before it is composed."""

MAX_KEYS = 1_000
"""Keys of one mapping, and items of one list; the longest of an entry has some dozens."""

MAX_TEXT = 4_000
"""Characters of one text; a long sentence has two hundred."""

MAX_DIGITS = 40
"""Characters of a number; Python itself refuses to read more than 4,300 digits."""


class WrittenNumber(int):
    """A whole number that remembers how it was written, so that `0800` can still be a telephone number."""

    written: str

    def __new__(cls, written: str) -> WrittenNumber:
        """Read `written` as YAML 1.2 does: decimal, 0o octal or 0x hexadecimal."""
        number = super().__new__(cls, whole_number(written))
        number.written = written
        return number


@dataclass(frozen=True)
class Source:
    """A file that was read: its path relative to the content folder, its text and its node graph.

    With `known` its values came from an earlier reading of the same text: the graph is composed when a place is asked.
    """

    path: str
    text: str = field(repr=False)
    composed: yaml.Node | None = field(default=None, repr=False)
    known: bool = field(default=False, repr=False)

    @cached_property
    def node(self) -> yaml.Node | None:
        """Give the node graph; None for a file that could not be read."""
        return compose(self.text) if self.known else self.composed

    def place_of_missing(self, loc: Loc, key: str) -> Place:
        """Give the place where `key` is missing: what is to hold it."""
        return self.place(loc, key=True)

    @cached_property
    def content_key(self) -> str:
        """Name the file and what it says."""
        return f"{self.path} {text_key(self.text)}"

    def place(self, loc: Loc = (), *, key: bool = False, offset: int | None = None) -> Place:
        """Give the place of the value at `loc` (of its key when `key`), or of a character inside a text.

        A `loc` that leads nowhere gives the place of its deepest part that exists.
        """
        if self.node is None:
            return Place(self.path, 1, 1)
        node, key_node = self._find(loc)
        if offset is not None and isinstance(node, yaml.ScalarNode):
            places = written_at(self.text, node.start_mark.index, node.end_mark.index, node.style, node.value)
            index = places[max(0, min(offset, len(node.value)))]
            line = self.text.count("\n", 0, index)
            return Place(self.path, line + 1, index - (self.text.rfind("\n", 0, index) + 1) + 1)
        mark = (key_node if key and key_node is not None else node).start_mark
        return Place(self.path, mark.line + 1, mark.column + 1)

    def _find(self, loc: Loc) -> tuple[yaml.Node, yaml.Node | None]:
        assert self.node is not None  # noqa: S101 - callers look first
        node, key_node = self.node, None
        for step in loc:
            if isinstance(node, yaml.MappingNode):
                pair = self._pairs_of(node).get(str(step))
                if pair is None:
                    continue
                key_node, node = pair
            elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
                key_node, node = None, node.value[step]
        return node, key_node

    def _pairs_of(self, node: yaml.MappingNode) -> dict[str, tuple[yaml.Node, yaml.Node]]:
        """Give the keys and values of a mapping by name; the first of a doubled key counts."""
        known = self._indexes.get(id(node))
        if known is None:
            known = self._indexes[id(node)] = {
                key.value: (key, value)
                for key, value in reversed(node.value)
                if isinstance(key, yaml.ScalarNode)
            }
        return known

    @cached_property
    def _indexes(self) -> dict[int, dict[str, tuple[yaml.Node, yaml.Node]]]:
        return {}


def read_source(
    file: Path,
    root: Path,
    *,
    head_only: re.Pattern[str] | None = None,
    known: Callable[[str], Any] | None = None,
) -> tuple[Source, Any, list[Finding]]:
    """Read `file` below `root`: its source, its value (None when it cannot be read) and what is wrong with it.

    `head_only` finds the YAML head of a prose page in its group `head`; the first line, which is dashes, is kept
    in the count of lines. `known` gives the values of a text that was read before without a finding, or None.
    """
    path = shown_path(file, root)
    text, finding = read_text(file, root, path)
    if finding:
        return Source(path, ""), None, [finding]
    before = known(text) if known else None
    if before is not None:
        return Source(path, text, known=True), before, []
    if not head_only:
        return read_written(path, text)
    match = head_only.match(text)
    if not match:
        return Source(path, text), None, [_no_head(path)]
    return read_written(path, text, _BEFORE_HEAD.sub(" ", text[: match.start("head")]) + match["head"])


def read_written(path: str, text: str, written: str | None = None) -> tuple[Source, Any, list[Finding]]:
    """Read the text of a file as `read_source` does; `written` is the part that is YAML, where not all of it is."""
    written = text if written is None else written
    try:
        too_deep = _too_deep(written, path)
        if too_deep:
            return Source(path, text), None, [too_deep]
        node = compose(written)
    except yaml.YAMLError as error:
        return Source(path, text), None, [syntax_finding(path, written, error)]
    source = Source(path, text, node)
    if node is None:
        return source, None, [_empty(source)]
    findings: list[Finding] = []
    value = _build(node, source, findings, set())
    return source, value, findings


_BEFORE_HEAD = re.compile(r"[^\r\n]")
"""The dashes above a prose page's head become spaces, so that its places are those of the file."""


def as_json(value: Any) -> str | None:
    """Write the values of a file so that `from_json` gives them back, or None when it could not.

    A whole number is kept by its digits; one that is written in any other way (`+5`, `08`, `0x1F`) is not kept.
    """
    return json.dumps(value, ensure_ascii=False) if _is_plain(value) else None


def from_json(text: str) -> Any:
    """Give back the values of a file."""
    return json.loads(text, parse_int=WrittenNumber)


def _is_plain(value: Any) -> bool:
    if isinstance(value, dict):
        return all(map(_is_plain, value.values()))
    if isinstance(value, list):
        return all(map(_is_plain, value))
    if isinstance(value, WrittenNumber):
        return int.__repr__(value) == value.written
    return value is None or isinstance(value, (str, float, bool))


def compose(text: str) -> yaml.Node | None:
    """Give the node graph of a text under the YAML 1.2 core schema; raises yaml.YAMLError."""
    loader = Yaml12Loader(text)
    try:
        node: yaml.Node | None = loader.get_single_node()
        return node
    finally:
        loader.dispose()


def loc_at(node: yaml.Node | None, line: int, column: int) -> tuple[str | int, ...]:
    """Give the keys and numbers that lead to the value at a line and column (from 1); () when there is none."""
    loc: list[str | int] = []
    at = (line - 1, column - 1)
    while isinstance(node, yaml.CollectionNode):
        inside = _inside(node, at)
        if inside is None:
            break
        step, node = inside
        loc.append(step)
    return tuple(loc)


def _inside(node: yaml.CollectionNode, at: tuple[int, int]) -> tuple[str | int, yaml.Node] | None:
    """Give the last part of a mapping or list that begins at or before a place."""
    if isinstance(node, yaml.MappingNode):
        parts = [
            ((key.start_mark.line, key.start_mark.column), key.value, child) for key, child in node.value
        ]
    else:
        parts = [
            ((child.start_mark.line, child.start_mark.column), index, child)
            for index, child in enumerate(node.value)
        ]
    begun = [(step, child) for start, step, child in parts if start <= at]
    return begun[-1] if begun else None


def _too_deep(text: str, path: str) -> Finding | None:
    """Refuse runaway nesting; only files that could nest that deep are walked event by event."""
    if sum(text.count(sign) for sign in ("[", "{", "- -", "? ", " " * MAX_DEPTH)) < MAX_DEPTH:
        return None
    depth = 0
    for event in yaml.parse(text, Loader=Yaml12Loader):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > MAX_DEPTH and (mark := event.start_mark):
                return Finding(
                    "error",
                    "nested-too-deep",
                    f"Values are nested more than {MAX_DEPTH} deep.",
                    "An entry never needs this; look for stray brackets.",
                    Place(path, mark.line + 1, mark.column + 1),
                )
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
    return None


def _no_head(path: str) -> Finding:
    return Finding(
        "error",
        "no-page-head",
        "The page does not begin with its title and description.",
        "Begin with a line of three dashes, `title: ...`, `description: ...`, and three dashes again.",
        Place(path, 1, 1),
    )


def _empty(source: Source) -> Finding:
    return Finding(
        "error",
        "empty-file",
        "The file is empty.",
        "Write the entry, or delete the file. `limberleaf new` writes a starter.",
        Place(source.path, 1, 1),
    )


def _build(node: yaml.Node, source: Source, findings: list[Finding], seen: set[int]) -> Any:
    """Build plain values from nodes; say doubled keys and aliases on the way."""
    if id(node) in seen:
        findings.append(
            Finding(
                "error",
                "alias",
                "An anchor of this file is used again by an alias (*name).",
                "Write the value out where it is needed.",
                Place(source.path, node.start_mark.line + 1, node.start_mark.column + 1),
            )
        )
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node, source, findings)
    seen.add(id(node))
    if node.tag not in ("tag:yaml.org,2002:map", "tag:yaml.org,2002:seq"):
        findings.append(_unknown_tag(node, source))
        return None
    if len(node.value) > MAX_KEYS:
        findings.append(
            _at(
                node,
                source,
                "too-many-items",
                f"{len(node.value)} keys or items are together here; {MAX_KEYS} is the limit.",
                "Look for a file that was pasted into this one, or give each entry a file of its own.",
            )
        )
        return None
    if isinstance(node, yaml.SequenceNode):
        return [_build(child, source, findings, seen) for child in node.value]
    return {key: _build(child, source, findings, seen) for key, child in _pairs(node, source, findings)}


def _at(node: yaml.Node, source: Source, code: str, message: str, hint: str) -> Finding:
    mark = node.start_mark
    return Finding("error", code, message, hint, Place(source.path, mark.line + 1, mark.column + 1))


def _unknown_tag(node: yaml.Node, source: Source) -> Finding:
    name = node.tag.replace("tag:yaml.org,2002:", "!!")[:40]
    return _at(
        node,
        source,
        "tag-not-used",
        f"The tag {name} does not fit here: entries hold words, numbers, lists and keys only.",
        "Take the tag away; put a text in double quotes.",
    )


def _pairs(node: yaml.Node, source: Source, findings: list[Finding]) -> Iterator[tuple[str, yaml.Node]]:
    first: dict[str, int] = {}
    for key_node, child in node.value:
        mark = key_node.start_mark
        place = Place(source.path, mark.line + 1, mark.column + 1)
        if not isinstance(key_node, yaml.ScalarNode):
            findings.append(
                Finding("error", "key-not-a-word", "A key must be a word.", "Write `key: value`.", place)
            )
            continue
        key = key_node.value
        if key in first:
            findings.append(
                Finding(
                    "error",
                    "doubled-key",
                    f"“{key}” is here twice; the first is on line {first[key]}.",
                    "Keep one of the two.",
                    place,
                )
            )
            continue
        first[key] = mark.line + 1
        yield key, child


def _scalar(node: yaml.ScalarNode, source: Source, findings: list[Finding]) -> Any:
    kind = node.tag.removeprefix("tag:yaml.org,2002:")
    text = node.value
    if kind != "str" and not (kind in CORE_SCHEMA and CORE_SCHEMA[kind].match(text)):
        findings.append(_unknown_tag(node, source))
        return None
    long = len(text) > (MAX_DIGITS if kind in ("int", "float") else MAX_TEXT)
    if long or (kind == "float" and not math.isfinite(float(text))):
        what = (
            f"number of {len(text)} characters"
            if kind in ("int", "float")
            else f"text of {len(text)} characters"
        )
        limit = MAX_DIGITS if kind in ("int", "float") else MAX_TEXT
        findings.append(
            _at(
                node,
                source,
                "value-too-long" if long else "number-too-large",
                f"There is a {what} here; {limit} is the limit."
                if long
                else "This number is too large to count with.",
                "Look for something that was pasted in by mistake.",
            )
        )
        return None
    if kind == "null":
        return None
    if kind == "bool":
        return text.lower() == "true"
    if kind == "int":
        return WrittenNumber(text)
    return float(text) if kind == "float" else text
