"""The map in DEVELOPERS.md is the structure of the code: who may import whom, and where each module is named."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import limberleaf
from limberleaf.cli import COMMANDS, FILES

ROOT = Path(__file__).resolve().parents[2]
GENERATOR, DIAGRAMS = ROOT / "generator", ROOT / "diagrams"
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
MAP = GUIDE.partition("```\ncontent/")[2].partition("```")[0]


def module_name(file: Path) -> str:
    """Name the module of a file: generator/pages/site.py is limberleaf.pages.site."""
    folder = file.relative_to(ROOT).with_suffix("")
    parts = folder.parts[1:] if folder.parts[0] == "generator" else folder.parts
    return ".".join(("limberleaf", *(part for part in parts if part != "__init__")))


FILES_OF = {module_name(file): file for root in (GENERATOR, DIAGRAMS) for file in sorted(root.rglob("*.py"))}


def imported(file: Path) -> Iterator[str]:
    """Name every module of ours that a file imports, also inside functions and for types alone."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "limberleaf":
            for name in node.names:
                whole = f"{node.module}.{name.name}"
                yield whole if whole in FILES_OF else str(node.module)
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names if name.name in FILES_OF)


IMPORTS = {name: set(imported(file)) - {name} for name, file in FILES_OF.items()}


def rooms_in_order() -> list[str]:
    """Read the rooms from the map, the lowest first; a line may name several files."""
    found: list[str] = []
    for line in MAP.splitlines():
        found += re.findall(r"^(?:generator/)?(\w+)(?=/|\.py)", line)[:1]
        found += re.findall(r"[ (](\w+)\.py\b", line)
    return [{"__init__": "limberleaf"}.get(name, name) for name in found]


def room_of(module: str) -> str:
    return module.split(".")[1] if "." in module else module


def test_every_room_is_on_the_map_once() -> None:
    rooms = rooms_in_order()
    assert len(rooms) == len(set(rooms))
    assert set(rooms) == {room_of(module) for module in FILES_OF} - {"__main__"}


def test_each_room_imports_only_the_rooms_above_it() -> None:
    rooms = [*rooms_in_order(), "__main__"]
    upward = [
        f"{module} imports {other}"
        for module, others in IMPORTS.items()
        for other in sorted(others)
        if rooms.index(room_of(other)) > rooms.index(room_of(module))
    ]
    assert upward == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    assert len(list(TopologicalSorter(IMPORTS).static_order())) == len(IMPORTS)


def test_folders_side_by_side_do_not_import_each_other_in_a_ring() -> None:
    packages = [
        name for name, file in FILES_OF.items() if file.name == "__init__.py" and name != "limberleaf"
    ]
    for package in packages:
        inside = {name for name in packages if name.rpartition(".")[0] == package}
        graph: dict[str, set[str]] = {name: set() for name in inside}
        for module, others in IMPORTS.items():
            own = next((name for name in inside if f"{module}.".startswith(f"{name}.")), None)
            if own:
                graph[own] |= {
                    name for name in inside - {own} for one in others if f"{one}.".startswith(f"{name}.")
                }
        assert len(list(TopologicalSorter(graph).static_order())) == len(inside), package


def test_every_package_names_its_modules() -> None:
    """So that whoever opens a folder knows where to begin; the map above does it for generator/ itself."""
    unnamed = [
        f"{init.parent.relative_to(ROOT)}: {name}"
        for init in sorted([*GENERATOR.rglob("__init__.py"), *DIAGRAMS.rglob("__init__.py")])
        if init.parent != GENERATOR
        for name in names_beside(init)
        if not re.search(
            rf"(?<![\w.]){re.escape(name)}", ast.get_docstring(ast.parse(init.read_text("utf-8"))) or ""
        )
    ]
    assert unnamed == []


def names_beside(init: Path) -> Iterator[str]:
    for path in sorted(init.parent.iterdir()):
        if path.suffix == ".py" and path != init:
            yield path.name
        elif (path / "__init__.py").is_file():
            yield f"{path.name}/"


def test_folders_stay_small_enough_to_take_in() -> None:
    large = {
        str(folder.relative_to(ROOT)): count
        for folder in sorted({file.parent for file in FILES_OF.values()})
        if (count := len([file for file in folder.glob("*.py") if file.name != "__init__.py"])) > 20
    }
    assert large == {}


def test_every_command_has_a_row_and_a_file() -> None:
    rows = re.findall(r"^\| `limberleaf ([a-z]+)` \| \S", GUIDE.partition("## Commands")[2], re.MULTILINE)
    assert sorted(rows) == sorted(COMMANDS) == sorted(FILES)
    for name in FILES.values():
        assert (Path(limberleaf.__path__[0]) / "commands" / f"{name.replace('.', '/')}.py").is_file()
