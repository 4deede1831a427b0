"""Changing the text of an entry so that only what changed differs: comments, order, quotes and line ends stay.

`edited(text, value)` compares what the text says now with what it should say, and cuts and pastes the stretches that
differ, by the places the reader's own node graph gives. What comes out is read again: a text that does not say
`value` is never given back.

Why not a round-trip dumper: ruamel.yaml, the kept one, writes whole files anew. Of the 192 files of the demo it
changed 5 that nobody had touched (`[{upright: trunk}]` lost its braces), and it turns the line ends of another system
into its own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

import yaml

from limberleaf.library.yaml.source import compose
from limberleaf.library.yaml.yaml_values import after_key, in_flow, item_text, scalar


class CannotEditError(ValueError):
    """The text cannot be changed without losing something; it says why."""


@dataclass(frozen=True)
class Cut:
    """A stretch of the text and what comes in its place."""

    start: int
    end: int
    new: str


def edited(text: str, value: Mapping[str, Any]) -> str:
    """Give `text` with the values of `value`; keys with None are taken out. Raises CannotEditError."""
    wanted = without_none(value)
    try:
        root = compose(text)
    except yaml.YAMLError as error:
        raise CannotEditError("The file cannot be read as YAML just now.") from error
    if not isinstance(root, yaml.MappingNode):
        raise CannotEditError("The file holds no keys and values.")
    for whole in (False, True):
        made = _applied(text, _Editor(text, whole_keys=whole).root(root, wanted))
        if _says(made, wanted):
            return made
    raise CannotEditError("This change cannot be written into the file without touching other lines.")


def without_none(value: Any) -> Any:
    """Give a value without keys and items that say nothing."""
    if isinstance(value, Mapping):
        return {key: without_none(item) for key, item in value.items() if item is not None}
    if isinstance(value, list):
        return [without_none(item) for item in value if item is not None]
    return value


def _says(text: str, wanted: Any) -> bool:
    try:
        node = compose(text)
    except yaml.YAMLError:
        return False
    return node is not None and _same(node, wanted)


def _applied(text: str, cuts: Iterator[Cut]) -> str:
    for cut in sorted(cuts, key=lambda one: (one.start, one.end), reverse=True):
        text = text[: cut.start] + cut.new + text[cut.end :]
    return text


def _same(node: yaml.Node, wanted: Any) -> bool:
    """Tell whether a node says a value. A number says the text it was written with, as entries read it."""
    if isinstance(node, yaml.MappingNode):
        return (
            isinstance(wanted, Mapping)
            and len(node.value) == len(wanted)
            and all(key.value in wanted and _same(child, wanted[key.value]) for key, child in node.value)
        )
    if isinstance(node, yaml.SequenceNode):
        return (
            isinstance(wanted, list)
            and len(node.value) == len(wanted)
            and all(map(_same, node.value, wanted))
        )
    return not isinstance(wanted, Mapping | list) and _same_scalar(node, wanted)


def _same_scalar(node: yaml.Node, wanted: object) -> bool:
    kind = node.tag.rpartition(":")[2]
    if isinstance(wanted, bool):
        return kind == "bool" and (node.value.lower() == "true") == wanted
    if isinstance(wanted, int | float):
        return kind in ("int", "float") and _number(node.value) == wanted
    return node.value == str(wanted) and kind in ("str", "int", "float")


def _number(written: str) -> float | None:
    try:
        return float(int(written, 0)) if written[:2] in ("0o", "0x") else float(written)
    except ValueError:
        return None


def _end(node: yaml.Node) -> int:
    """Give where a node's own text ends: block collections end with their last value, not where the next key begins."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _end(last[1] if isinstance(last, tuple) else last)
    return int(node.end_mark.index)


class _Editor:
    """Finds the cuts of one text. With `whole_keys` a top-level key that differs is written anew as a whole."""

    def __init__(self, text: str, *, whole_keys: bool) -> None:
        self.text, self._whole_keys = text, whole_keys
        self._break = "\r\n" if "\r\n" in text else "\n"

    def root(self, node: yaml.MappingNode, wanted: Mapping[str, Any]) -> Iterator[Cut]:
        """Compare the whole entry."""
        yield from (
            self._block_mapping(node, wanted) if not node.flow_style else self._flow_mapping(node, wanted)
        )

    def _node(self, node: yaml.Node, wanted: Any, key: yaml.Node | None = None) -> Iterator[Cut]:
        """Compare a value that stays where it is; `key` is the one it stands behind."""
        if _same(node, wanted):
            return
        if isinstance(node, yaml.MappingNode) and isinstance(wanted, Mapping) and wanted and node.value:
            yield from (self._flow_mapping if node.flow_style else self._block_mapping)(node, wanted)
        elif isinstance(node, yaml.SequenceNode) and isinstance(wanted, list) and wanted and node.value:
            yield from (self._flow_list if node.flow_style else self._block_list)(node, wanted)
        elif isinstance(node, yaml.ScalarNode) and not isinstance(wanted, Mapping | list):
            yield self._scalar(node, wanted)
        elif self._flow(node) or key is None:
            yield Cut(node.start_mark.index, _end(node), in_flow(wanted))
        else:
            yield self._behind(key, node, wanted)

    def _flow(self, node: yaml.Node) -> bool:
        """Tell whether a node stands inside brackets."""
        return bool(getattr(node, "in_flow", False))

    def _behind(self, key: yaml.Node, node: yaml.Node, wanted: Any) -> Cut:
        """Write the value behind a key anew."""
        colon = self.text.index(":", key.end_mark.index) + 1
        end = max(self._trimmed(_end(node)), colon)
        return Cut(colon, end, self._lines(after_key(wanted, key.start_mark.column)))

    def _scalar(self, node: yaml.ScalarNode, wanted: object) -> Cut:
        start, end = node.start_mark.index, node.end_mark.index
        if node.style in ("|", ">"):
            return Cut(start, self._trimmed(end), scalar(wanted, flow=False))
        quote = (node.style or None) if isinstance(wanted, str) else None  # libyaml gives "" for a plain one
        return Cut(start, end, scalar(wanted, flow=self._flow(node), style=quote))

    def _trimmed(self, at: int) -> int:
        """Step back over line ends: a block text is said to end where the next line begins."""
        while at and self.text[at - 1] in "\r\n":
            at -= 1
        return at

    def _lines(self, text: str) -> str:
        return text.replace("\n", self._break)

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        """Give the end of a line, before its break; comments behind a value are part of its line."""
        found = self.text.find("\n", at)
        end = len(self.text) if found < 0 else found
        return end - 1 if end > at and self.text[end - 1 : end] == "\r" else end

    def _next_line(self, at: int) -> int:
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    # --- mappings ------------------------------------------------------------------------------------------------

    def _block_mapping(self, node: yaml.MappingNode, wanted: Mapping[str, Any]) -> Iterator[Cut]:
        pairs = {key.value: (key, child) for key, child in node.value}
        indent = node.value[0][0].start_mark.column
        names = list(pairs)
        for name, (key, child) in pairs.items():
            if name not in wanted:
                yield self._without_key(node, names.index(name), wanted)
            elif self._whole_keys and not indent and not _same(child, wanted[name]):
                yield self._behind(key, child, wanted[name])
            else:
                yield from self._node(child, wanted[name], key)
        before: dict[int, str] = {}
        for name, at in self._places(pairs, wanted):
            before[at] = before.get(at, "") + self._new_key(name, wanted[name], indent, at)
        for at, new in before.items():
            yield Cut(at, at, new)

    def _places(
        self, pairs: Mapping[str, tuple[Any, Any]], wanted: Mapping[str, Any]
    ) -> Iterator[tuple[str, int]]:
        """Say behind which end of line each new key goes: behind the key before it in the order of the form."""
        last = next(iter(pairs.values()))[0].start_mark.index
        at = (
            self._line_start(last) if not last or self.text[self._line_start(last) : last].isspace() else None
        )
        at = last if last == self._line_start(last) else at
        for name in wanted:
            if name in pairs:
                at = self._line_end(self._trimmed(_end(pairs[name][1])))
            else:
                if at is None:  # the first key stands behind a dash: go behind it instead
                    at = self._line_end(self._trimmed(_end(next(iter(pairs.values()))[1])))
                yield name, at

    def _new_key(self, name: str, value: Any, indent: int, at: int) -> str:
        line = self._lines(f"{' ' * indent}{scalar(name, flow=False)}:{after_key(value, indent)}")
        return (
            line + self._break if at == self._line_start(at) and at < len(self.text) else self._break + line
        )

    def _without_key(self, node: yaml.MappingNode, index: int, wanted: Mapping[str, Any]) -> Cut:
        key, child = node.value[index]
        start = self._line_start(key.start_mark.index)
        if self.text[start : key.start_mark.index].strip() and index + 1 < len(node.value):
            kept = next((pair for pair in node.value[index + 1 :] if pair[0].value in wanted), None)
            if kept is not None:  # `- first: ...`: the next key moves up behind the dash
                return Cut(key.start_mark.index, node.value[index + 1][0].start_mark.index, "")
        return Cut(start, self._next_line(max(self._trimmed(_end(child)), key.end_mark.index)), "")

    def _flow_mapping(self, node: yaml.MappingNode, wanted: Mapping[str, Any]) -> Iterator[Cut]:
        pairs = {key.value: (key, child) for key, child in node.value}
        for _, child in node.value:
            child.in_flow = True
        spans = [(key.start_mark.index, child.end_mark.index) for key, child in node.value]
        names = list(pairs)
        yield from self._taken_out(spans, [name not in wanted for name in names])
        for name, (key, child) in pairs.items():
            if name in wanted:
                yield from self._node(child, wanted[name], key)
        at = -1
        new: dict[int, list[str]] = {}
        for name in wanted:
            if name in pairs:
                at = names.index(name)
            else:
                new.setdefault(at, []).append(f"{scalar(name, flow=True)}: {in_flow(wanted[name])}")
        yield from self._put_in(spans, new, [name not in wanted for name in names])

    # --- lists ---------------------------------------------------------------------------------------------------

    def _aligned(
        self, nodes: Sequence[yaml.Node], wanted: Sequence[Any]
    ) -> Sequence[tuple[str, int, int, int, int]]:
        """Align items that are there with those that should be."""
        old = [_key(plain_values(node)) for node in nodes]
        new = [_key(item) for item in wanted]
        return SequenceMatcher(None, old, new, autojunk=False).get_opcodes()

    def _paired(
        self, nodes: Sequence[yaml.Node], wanted: Sequence[Any]
    ) -> tuple[list[tuple[int, int]], list[int], dict[int, list[int]]]:
        """Give pairs of items that stay (changed or not), items that go, and new ones by the item they stand behind."""
        pairs: list[tuple[int, int]] = []
        gone: list[int] = []
        new: dict[int, list[int]] = {}
        for _, i1, i2, j1, j2 in self._aligned(nodes, wanted):
            both = min(i2 - i1, j2 - j1)
            pairs += [(i1 + step, j1 + step) for step in range(both)]
            gone += range(i1 + both, i2)
            for j in range(j1 + both, j2):
                new.setdefault(i1 + both - 1, []).append(j)
        return pairs, gone, new

    def _block_list(self, node: yaml.SequenceNode, wanted: Sequence[Any]) -> Iterator[Cut]:
        items = node.value
        column = node.start_mark.column
        pairs, gone, new = self._paired(items, wanted)
        if self.text[self._line_start(node.start_mark.index) : node.start_mark.index].strip() and (
            gone or new
        ):
            raise CannotEditError("A list inside a list is best changed in the file.")
        spans = [self._item_span(items, index, column) for index in range(len(items))]
        known = {
            _key(plain_values(item)): self.text[slice(*span)] for item, span in zip(items, spans, strict=True)
        }
        for i, j in pairs:
            yield from self._node(items[i], wanted[j])
        for index in gone:
            yield Cut(spans[index][0], self._next_line(spans[index][1]), "")
        flow = isinstance(items[0], yaml.MappingNode) and bool(items[0].flow_style)
        for index, numbers in new.items():
            lines = [
                known.get(_key(wanted[j]))
                or self._lines(f"{' ' * column}- {item_text(wanted[j], column + 2, flow=flow or None)}")
                for j in numbers
            ]
            if index < 0:
                yield Cut(spans[0][0], spans[0][0], "".join(line + self._break for line in lines))
            else:
                at = spans[index][1]
                yield Cut(at, at, "".join(self._break + line for line in lines))

    def _item_span(self, items: Sequence[yaml.Node], index: int, column: int) -> tuple[int, int]:
        """Give where the lines of an item begin and end, without the last line break."""
        start = self._line_start(items[index].start_mark.index)
        while self.text[start + column : start + column + 1] != "-" and start:
            start = self._line_start(start - 1)
        end = max(self._trimmed(_end(items[index])), start)
        return start, self._line_end(end)

    def _flow_list(self, node: yaml.SequenceNode, wanted: Sequence[Any]) -> Iterator[Cut]:
        for child in node.value:
            child.in_flow = True
        spans = [(child.start_mark.index, child.end_mark.index) for child in node.value]
        pairs, gone, new = self._paired(node.value, wanted)
        known = {
            _key(plain_values(item)): self.text[slice(*span)]
            for item, span in zip(node.value, spans, strict=True)
        }
        for i, j in pairs:
            yield from self._node(node.value[i], wanted[j])
        out = [index in gone for index in range(len(spans))]
        yield from self._taken_out(spans, out)
        written = {
            index: [known.get(_key(wanted[j])) or in_flow(wanted[j]) for j in numbers]
            for index, numbers in new.items()
        }
        yield from self._put_in(spans, written, out)

    @staticmethod
    def _taken_out(spans: Sequence[tuple[int, int]], out: Sequence[bool]) -> Iterator[Cut]:
        """Take items out of brackets, each with the comma that parts it from its neighbour."""
        kept_before = False
        for index, (start, end) in enumerate(spans):
            if not out[index]:
                kept_before = True
            elif kept_before:
                yield Cut(spans[index - 1][1], end, "")
            elif index + 1 < len(spans):
                yield Cut(start, spans[index + 1][0], "")
            else:
                yield Cut(start, end, "")

    @staticmethod
    def _put_in(
        spans: Sequence[tuple[int, int]], new: Mapping[int, Sequence[str]], out: Sequence[bool]
    ) -> Iterator[Cut]:
        """Put items into brackets behind those that stay."""
        kept = [index for index, gone in enumerate(out) if not gone]
        for index, texts in new.items():
            before = [one for one in kept if one <= index]
            if before:
                at = spans[before[-1]][1]
                yield Cut(at, at, "".join(f", {text}" for text in texts))
            elif kept:
                at = spans[kept[0]][0]
                yield Cut(at, at, "".join(f"{text}, " for text in texts))
            else:
                at = spans[-1][1]
                yield Cut(at, at, ", ".join(texts))


def plain_values(node: yaml.Node) -> Any:
    """Give the plain value of a node, whole numbers and texts as they were written."""
    if isinstance(node, yaml.MappingNode):
        return {key.value: plain_values(child) for key, child in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [plain_values(child) for child in node.value]
    if node.tag.endswith(":bool"):
        return bool(node.value.lower() == "true")
    return None if node.tag.endswith(":null") else node.value


def _key(value: Any) -> str:
    """Give what two values have in common when an entry would read them alike."""
    return json.dumps(_written(value), sort_keys=True, ensure_ascii=False)


def _written(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _written(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_written(item) for item in value]
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return value if value is None or isinstance(value, bool) else str(value)
