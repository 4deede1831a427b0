"""The source of the program as trees: what encloses each node, which functions, calls and imports a file holds."""

from __future__ import annotations

import ast
import pathlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

import limberleaf
import limberleaf.diagrams

FOLDERS = {
    "limberleaf": pathlib.Path(limberleaf.__file__).resolve().parent,
    "limberleaf.diagrams": pathlib.Path(limberleaf.diagrams.__file__).resolve().parent,
}
Step = int | str
"""A step into a value: the part of a tuple, `each` of a list or of a table's keys, `pairs` or `values` of a table."""
Path = tuple[Step, ...]
Function = ast.FunctionDef | ast.Lambda


@dataclass
class Module:
    """One file: its tree, what encloses each node, and where its imported names come from."""

    name: str
    tree: ast.Module
    above: dict[ast.AST, ast.AST] = field(default_factory=dict)
    imported: dict[str, tuple[str, str]] = field(default_factory=dict)
    functions: dict[str, list[ast.FunctionDef]] = field(default_factory=lambda: defaultdict(list))
    calls: list[ast.Call] = field(default_factory=list)
    bound: dict[ast.AST, dict[str, list[tuple[ast.expr, Path]]]] = field(default_factory=dict)

    def look(self) -> None:
        """Note of every node what encloses it, and functions, calls and imports, in one walk."""
        todo: list[ast.AST] = [self.tree]
        while todo:
            node = todo.pop()
            if isinstance(node, ast.Call):
                self.calls.append(node)
            elif isinstance(node, ast.FunctionDef):
                self.functions[node.name].append(node)
            elif isinstance(node, ast.ImportFrom) and node.module:
                self.imported |= {one.asname or one.name: (node.module, one.name) for one in node.names}
            for inner in _parts(node):
                self.above[inner] = node
                todo.append(inner)

    def function_of(self, node: ast.AST) -> Function | None:
        """Give the function a node stands in."""
        at = self.above.get(node)
        while at is not None and not isinstance(at, Function):
            at = self.above.get(at)
        return at


def modules() -> dict[str, Module]:
    """Read every module of the program by its name."""
    found = {}
    for package, folder in FOLDERS.items():
        for file in sorted(folder.rglob("*.py")):
            parts = [part for part in file.relative_to(folder).with_suffix("").parts if part != "__init__"]
            module = Module(".".join([package, *parts]), ast.parse(file.read_text("utf-8")))
            module.look()
            found[module.name] = module
    return found


def _parts(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.Name | ast.Constant):
        return
    for name in node._fields:
        value = getattr(node, name, None)
        if isinstance(value, list):
            yield from [one for one in value if isinstance(one, ast.AST)]
        elif isinstance(value, ast.AST) and not isinstance(value, ast.expr_context):
            yield value
