"""The codes of all findings the program can make, traced through its source to the words they are written as.

A code reaches `Finding(...)` or `Problem(...)` as a literal, as the argument of a helper, out of a table or as what a
function gives back. `traced()` follows each back to its literals and names every place where it could not.
"""

from __future__ import annotations

import ast
import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from tests.guide.program_source import Function, Module, Path, Step, modules

MAKERS = {"Finding": ("severity", "code"), "Problem": ("code", "severity")}
"""What makes a finding, with the order of its first arguments."""

Spot = tuple[ast.expr, Module]


@dataclass
class Traced:
    """Codes with the severities they may have, and the modules of which not every code could be followed."""

    severities: dict[str, set[str]]
    lost: list[str]


class Tracer:
    """Follows an expression back to the literals it can be."""

    def __init__(self) -> None:
        self.modules = modules()
        self.calls: dict[str, list[tuple[ast.Call, Module]]] = defaultdict(list)
        for module in self.modules.values():
            for call in module.calls:
                self.calls[_name(call.func)].append((call, module))
        self.lost: list[str] = []

    def traced(self) -> Traced:
        """Give every code with its severities."""
        found: dict[str, set[str]] = defaultdict(set)
        for maker, order in MAKERS.items():
            for call, module in self.calls[maker]:
                given = dict(zip(order, call.args, strict=False)) | {
                    one.arg: one.value for one in call.keywords if one.arg
                }
                if "code" not in given:
                    continue
                codes = self.texts(given["code"], module, note=True)
                severities = self.texts(given["severity"], module)
                for code in codes:
                    found[code] |= severities
        return Traced(dict(found), self.lost)

    def texts(self, expr: ast.expr, module: Module, *, note: bool = False) -> set[str]:
        """Give the texts an expression can be; with `note` a module is noted as lost where one could not be found."""
        found = set()
        for node, where in self.leaves((expr, module), (), frozenset()):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                spared = _spared(node, where)
                parts = [
                    [part.value] if isinstance(part, ast.Constant) else self.texts(part.value, where) - spared
                    for part in node.values
                    if isinstance(part, ast.Constant | ast.FormattedValue)
                ]
                found |= {"".join(map(str, one)) for one in itertools.product(*parts)}
            elif isinstance(node, ast.Call) and _name(node.func) == "replace":
                assert isinstance(node.func, ast.Attribute)
                old, new = (str(ast.literal_eval(one)) for one in node.args)
                found |= {text.replace(old, new) for text in self.texts(node.func.value, where)}
            elif note and not isinstance(node, ast.Constant) and not _is_field(node):
                self.lost.append(module.name)
        return found

    def leaves(self, spot: Spot, steps: Path, seen: frozenset[object]) -> Iterator[Spot]:
        """Give the literals at the end of `steps` into what an expression can be."""
        node, module = spot
        if (id(node), steps) in seen:
            return
        seen |= {(id(node), steps)}
        for (inner, where), rest in self._next(node, module, steps):
            if inner is node:
                yield inner, where
            else:
                yield from self.leaves((inner, where), rest, seen)

    def _next(self, node: ast.expr, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
        if several := _either(node):
            yield from [((one, module), steps) for one in several]
            return
        if steps and isinstance(
            node, ast.Dict | ast.DictComp | ast.GeneratorExp | ast.ListComp | ast.SetComp
        ):
            yield from _inside(node, module, steps)
            return
        match node:
            case ast.Tuple() | ast.List() | ast.Set() if steps:
                wanted = node.elts if steps[0] == "each" else node.elts[int(steps[0]) : int(steps[0]) + 1]
                for one in wanted:
                    if isinstance(one, ast.Starred):
                        yield (one.value, module), steps
                    else:
                        yield (one, module), steps[1:]
            case ast.Subscript():
                index = node.slice
                whole = isinstance(index, ast.Constant) and isinstance(index.value, int)
                step: Step = index.value if whole else "values"  # type: ignore[union-attr, assignment]
                yield (node.value, module), (step, *steps)
            case ast.Name():
                yield from self._of_name(node, module, steps)
            case ast.Attribute():
                yield from self._of_attribute(node, module, steps)
            case ast.Call() if _name(node.func) != "replace":
                yield from self._of_call(node, module, steps)
            case _:
                yield (node, module), steps

    def _of_name(self, node: ast.Name, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
        inner = list(_loop_around(node, module))
        if inner:
            yield from [((value, module), (*path, *steps)) for value, path in inner]
            return
        scope: ast.AST | None = module.function_of(node)
        while scope is not None:
            bound = _bindings(node.id, scope, module)
            yield from [((value, module), (*path, *steps)) for value, path in bound]
            if isinstance(scope, ast.FunctionDef) and node.id in _parameters(scope):
                yield from [(spot, steps) for spot in self._arguments(scope, node.id, module)]
                return
            if bound:
                return
            scope = module.function_of(scope)
        source, name = module.imported.get(node.id, (module.name, node.id))
        there = self.modules.get(source, module)
        bound = _bindings(name, there.tree, there)
        yield from [((value, there), (*path, *steps)) for value, path in bound]
        if not bound:
            yield (node, module), steps

    def _arguments(self, function: ast.FunctionDef, name: str, module: Module) -> Iterator[Spot]:
        """Give what every call of a function gives for one of its parameters, and its default."""
        names = _parameters(function)
        position = names.index(name) - (names[0] in ("self", "cls"))
        called = function.name
        if called == "__init__":
            owner = module.above[function]
            assert isinstance(owner, ast.ClassDef)
            called = owner.name
        inside = isinstance(module.above[function], ast.ClassDef)
        for call, where in self.calls[called]:
            known = where.imported.get(called, ("",))[0] == module.name
            if inside:  # a method is called by those who know something of its module
                known = any(source == module.name for source, _ in where.imported.values())
            if where is not module and not known:
                continue
            given = {one.arg: one.value for one in call.keywords}
            if name in given:
                yield given[name], where
            elif position < len(call.args):
                yield call.args[position], where
        defaults = dict(
            zip(
                reversed([one.arg for one in function.args.args]),
                reversed(function.args.defaults),
                strict=False,
            )
        )
        defaults |= {
            one.arg: value
            for one, value in zip(function.args.kwonlyargs, function.args.kw_defaults, strict=True)
            if value is not None
        }
        if name in defaults:
            yield defaults[name], module

    def _of_attribute(self, node: ast.Attribute, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
        """Give what the constructors of classes known here are given for a field of that name."""
        known = False
        for owner, there in self._classes(module):
            fields = [
                one.target.id
                for one in owner.body
                if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name)
            ]
            begin = next(
                (one for one in owner.body if isinstance(one, ast.FunctionDef) and one.name == "__init__"),
                None,
            )
            kept = begin is not None and node.attr in _parameters(begin)
            if node.attr not in fields and not kept:
                continue
            known = True
            if owner.name in MAKERS:
                continue  # a finding that is passed on
            if kept and begin is not None:
                yield from [(spot, steps) for spot in self._arguments(begin, node.attr, there)]
                continue
            at = fields.index(node.attr)
            for call, where in self.calls[owner.name]:
                given = {one.arg: one.value for one in call.keywords}
                if node.attr in given:
                    yield (given[node.attr], where), steps
                elif at < len(call.args):
                    yield (call.args[at], where), steps
            default = next(
                one.value
                for one in owner.body
                if isinstance(one, ast.AnnAssign)
                and isinstance(one.target, ast.Name)
                and one.target.id == node.attr
            )
            if default is not None:
                yield (default, there), steps
        if not known:
            yield (node, module), steps

    def _classes(self, module: Module) -> Iterator[tuple[ast.ClassDef, Module]]:
        yield from [(one, module) for one in module.tree.body if isinstance(one, ast.ClassDef)]
        for source, name in module.imported.values():
            there = self.modules.get(source)
            for one in there.tree.body if there else ():
                if isinstance(one, ast.ClassDef) and one.name == name and there:
                    yield one, there

    def _of_call(self, node: ast.Call, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
        name = _name(node.func)
        if isinstance(node.func, ast.Attribute) and name in ("get", "items", "values", "keys"):
            way: dict[str, Path] = {
                "get": ("values", *steps), "items": ("pairs", *steps[1:]),
                "values": ("values", *steps[1:]), "keys": ("each", *steps[1:]),
            }  # fmt: skip
            yield (node.func.value, module), way[name]
            if name == "get" and len(node.args) > 1:
                yield (node.args[1], module), steps
            return
        if name in ("sorted", "list", "tuple", "set", "reversed", "frozenset") and node.args:
            yield (node.args[0], module), steps
            return
        if name == "next":
            yield (node.args[0], module), ("each", *steps)
            yield from [((one, module), steps) for one in node.args[1:]]
            return
        if name in ("enumerate", "zip") and len(steps) > 1 and isinstance(steps[1], int):
            at = steps[1] - (name == "enumerate")
            if 0 <= at < len(node.args):
                yield (node.args[at], module), ("each", *steps[2:])
            return
        found = False
        source = module.imported.get(name, (module.name, name))
        there = self.modules.get(source[0])
        for inner in there.functions[source[1]] if there else ():
            assert there is not None
            for value, path in _given_back(inner, there, steps):
                found = True
                yield (value, there), path
        if not found:
            yield (node, module), steps


def _loop_around(node: ast.Name, module: Module) -> Iterator[tuple[ast.expr, Path]]:
    """Give what the nearest loop or comprehension around a name binds it to."""
    at: ast.AST | None = node
    while at is not None and not isinstance(at, Function):
        loops = [at] if isinstance(at, ast.For) else getattr(at, "generators", [])
        for loop in loops:
            found = [path for name, path in _paths(loop.target) if name == node.id]
            if found and node is not loop.iter:
                yield loop.iter, ("each", *found[0])
                return
        at = module.above.get(at)


def _name(node: ast.expr) -> str:
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _is_field(node: ast.expr) -> bool:
    """Tell whether a node describes a key of an entry, whose `code` is that of an exercise and not of a finding."""
    return isinstance(node, ast.Call) and _name(node.func) == "Field"


def _spared(node: ast.JoinedStr, module: Module) -> set[str]:
    """Give the words that never come into a text because it stands behind `... if word in (...) else`."""
    above = module.above.get(node)
    if isinstance(above, ast.IfExp) and node is above.orelse and isinstance(above.test, ast.Compare):
        listed = above.test.comparators[0]
        if isinstance(above.test.ops[0], ast.In) and isinstance(listed, ast.Tuple):
            return {str(one.value) for one in listed.elts if isinstance(one, ast.Constant)}
    return set()


def _parameters(function: ast.FunctionDef) -> list[str]:
    return [one.arg for one in (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)]


def _given_back(function: ast.FunctionDef, module: Module, steps: Path) -> Iterator[tuple[ast.expr, Path]]:
    for node in ast.walk(function):
        if module.function_of(node) is not function:
            continue
        if isinstance(node, ast.Return | ast.YieldFrom) and node.value is not None:
            yield node.value, steps
        elif isinstance(node, ast.Yield) and node.value is not None and steps:
            yield node.value, steps[1:]


def _either(node: ast.expr) -> list[ast.expr]:
    """Give the expressions of which one is the value of this one."""
    match node:
        case ast.IfExp():
            return [node.body, node.orelse]
        case ast.BoolOp():
            return node.values
        case ast.BinOp(op=ast.BitOr()):
            return [node.left, node.right]
        case ast.Starred() | ast.NamedExpr():
            return [node.value]
    return []


def _inside(node: ast.expr, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
    """Take a step into a table, or into what a comprehension makes."""
    if isinstance(node, ast.Dict):
        yield from _of_table(node, module, steps)
    elif isinstance(node, ast.GeneratorExp | ast.ListComp | ast.SetComp):
        yield (node.elt, module), steps[1:]
    elif isinstance(node, ast.DictComp) and steps[0] in ("values", "pairs"):
        yield (node.value, module), steps[1:] if steps[0] == "values" else steps[2:]


def _of_table(node: ast.Dict, module: Module, steps: Path) -> Iterator[tuple[Spot, Path]]:
    for key, value in zip(node.keys, node.values, strict=True):
        if key is None:
            yield (value, module), steps
        elif steps[0] == "each":
            yield (key, module), steps[1:]
        elif steps[0] == "pairs":
            yield (key if steps[1] == 0 else value, module), steps[2:]
        else:
            yield (value, module), steps[1:]


def _bindings(name: str, scope: ast.AST, module: Module) -> list[tuple[ast.expr, Path]]:
    """Give every value a name is bound to in a function or at the top of a module, with the steps into it."""
    if scope not in module.bound:
        found: dict[str, list[tuple[ast.expr, Path]]] = defaultdict(list)
        for node in ast.walk(scope) if isinstance(scope, Function) else iter(getattr(scope, "body", ())):
            for target, value, before in _bound_by(node):
                for inner, path in _paths(target):
                    found[inner].append((value, (*before, *path)))
        module.bound[scope] = found
    return module.bound[scope].get(name, [])


def _bound_by(node: ast.AST) -> Iterator[tuple[ast.expr, ast.expr, Path]]:
    match node:
        case ast.Assign():
            yield from [(target, node.value, ()) for target in node.targets]
        case ast.AnnAssign(value=ast.expr() as value) | ast.NamedExpr(value=value):
            yield node.target, value, ()
        case ast.For() | ast.comprehension():
            yield node.target, node.iter, ("each",)


def _paths(target: ast.expr) -> Iterator[tuple[str, Path]]:
    if isinstance(target, ast.Name):
        yield target.id, ()
    elif isinstance(target, ast.Tuple):
        for at, part in enumerate(target.elts):
            yield from [(name, (at, *path)) for name, path in _paths(part)]


def traced() -> Traced:
    """Trace the whole program."""
    return Tracer().traced()
