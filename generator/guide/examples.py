"""An example of every key, cut out of whole entries of an invented clinic (examples/) that the models accept.

So an example cannot be wrong, and it is written as an author would. Joints of a pose are all of one shape and are made.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

import yaml

from limberleaf.library.guide import Key, keys
from limberleaf.library.yaml.source import compose

JOINTS = "figure.poses[].joints"
DEGREES = 10
"""Degrees that every joint can do either way."""

Steps = tuple[str, ...]


@cache
def example_texts(kind: str) -> tuple[str, ...]:
    """Give the whole entries that the examples of a kind are cut out of, the main one first."""
    folder = files(__package__).joinpath("examples")
    names = [f"{kind}.yml", f"{kind}.2.yml", f"{kind}.3.yml"]
    return tuple(
        folder.joinpath(name).read_text("utf-8") for name in names if folder.joinpath(name).is_file()
    )


def example(key: Key) -> str:
    """Give a key as it stands in an entry, below the keys it belongs to; LookupError when no entry holds it."""
    if key.path.startswith(f"{JOINTS}.") and key.kind == "exercise":
        return _joint(key)
    steps = tuple(re.findall(r"[^.\[\]]+|\[\]", key.path))
    for text, node in _read(key.kind):
        if _holds(node, steps):
            return "\n".join(_lines(text, node, steps))
    raise LookupError(key.name)


@cache
def _read(kind: str) -> tuple[tuple[str, yaml.Node], ...]:
    nodes = ((text, compose(text)) for text in example_texts(kind))
    return tuple((text, node) for text, node in nodes if node is not None)


def _children(node: yaml.Node, step: str) -> list[tuple[str, yaml.Node]]:
    """Give what a step can lead to, each with the name it has in the entry."""
    if isinstance(node, yaml.SequenceNode):
        return [("", child) for child in node.value] if step == "[]" else []
    if not isinstance(node, yaml.MappingNode):
        return []
    return [(name.value, child) for name, child in node.value if step in (name.value, "NAME")]


def _holds(node: yaml.Node, steps: Steps) -> bool:
    return not steps or any(_holds(child, steps[1:]) for _, child in _children(node, steps[0]))


def _lines(text: str, node: yaml.Node, steps: Steps) -> list[str]:
    """Write a value with only what leads to the key; what is written on one line stays whole."""
    if not steps or (isinstance(node, yaml.CollectionNode) and node.flow_style):
        return _source(text, node)
    name, child = next(one for one in _children(node, steps[0]) if _holds(one[1], steps[1:]))
    inner = _lines(text, child, steps[1:])
    if isinstance(node, yaml.SequenceNode):
        return [f"- {inner[0]}", *(f"  {line}" for line in inner[1:])]
    if isinstance(child, yaml.CollectionNode) and not child.flow_style:
        return [f"{name}:", *(f"  {line}" for line in inner)]
    return [f"{name}: {inner[0]}", *inner[1:]]


def _source(text: str, node: yaml.Node) -> list[str]:
    start, end = node.start_mark, node.end_mark
    lines = text[start.index : end.index].rstrip().split("\n")
    return [lines[0], *(line[start.column :] for line in lines[1:])]


def _joint(key: Key) -> str:
    """Write a joint of a pose; of a side or a joint as a whole its first movement."""
    path = key.path
    while below := [one.path for one in keys(key.kind) if one.path.rpartition(".")[0] == path]:
        path = below[0]
    inner = str(DEGREES)
    for name in reversed(path.removeprefix(f"{JOINTS}.").split(".")):
        inner = f"{{{name}: {inner}}}"
    return f"figure:\n  poses:\n    - joints: {inner}"
