"""Limberleaf: entries are read, checked, drawn, put on pages and published.

The names below are the public interface; everything else may change between versions. Each room knows only the rooms
before it; DEVELOPERS.md draws the house.

>>> import limberleaf
>>> library = limberleaf.load_library(Path("content"))   # entries as typed objects, and the findings of reading them
>>> limberleaf.check_library(library)                     # every finding, in the order of files and lines
>>> limberleaf.draw_figure({"poses": [{"posture": "sitting"}]}).svg()
>>> limberleaf.read_text([limberleaf.Block("prose", "Bend your knee.")]).headline
>>> limberleaf.build_site(Path("content"), Path("site"), today=date.today())
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from limberleaf.checks import check_library
    from limberleaf.diagrams import figure as draw_figure
    from limberleaf.findings import Finding
    from limberleaf.library import Library, load_library
    from limberleaf.publish.plain import write_site as build_site
    from limberleaf.reading import Block
    from limberleaf.reading import read as read_text

__all__ = [
    "Block",
    "Finding",
    "Library",
    "build_site",
    "check_library",
    "draw_figure",
    "load_library",
    "read_text",
]

_HOMES = {
    "Block": ("limberleaf.reading", "Block"),
    "Finding": ("limberleaf.findings", "Finding"),
    "Library": ("limberleaf.library", "Library"),
    "build_site": ("limberleaf.publish.plain", "write_site"),
    "check_library": ("limberleaf.checks", "check_library"),
    "draw_figure": ("limberleaf.diagrams", "figure"),
    "load_library": ("limberleaf.library", "load_library"),
    "read_text": ("limberleaf.reading", "read"),
}
"""Where each public name lives; imported when it is asked for, so that no command pays for what it does not use."""


def __getattr__(name: str) -> Any:
    """Import a public name on first use (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module 'limberleaf' has no attribute {name!r}")
    module, attribute = _HOMES[name]
    return getattr(import_module(module), attribute)


def __dir__() -> list[str]:
    return list(__all__)
