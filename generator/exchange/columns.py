"""The columns of the table of exercises, made from the typed entries, so that a new key has its column by itself."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.exchange import cells
from limberleaf.library.guide import Key, keys
from limberleaf.library.schemas import schema

AS_OF = "as_of"
"""The last column: the state of the entry when the table was written, by which a newer file is noticed."""
CAPTIONS = "figure.captions"
FIGURE = "figure.drawing"
NO_CAPTION = "-"
RECORDED = ("status", "review.approved_by", "review.reviewed", "review.due", "review.version")
"""What says that somebody approved the words; a table shows it and cannot change it."""


@dataclass(frozen=True)
class Column:
    """One column: the key it stands for, what it means, its choices, and how a value is written and read.

    `get` and `put` take the plain values of an entry. `recorded` is what only `limberleaf review --record` changes.
    """

    name: str
    note: str
    get: Callable[[Mapping[str, Any]], str]
    put: Callable[[dict[str, Any], str], None]
    choices: tuple[str, ...] = ()
    lines: bool = False
    recorded: bool = False

    @property
    def path(self) -> tuple[str, ...]:
        """Give the keys that lead to the value; the two columns of the figure stand for `figure`."""
        return ("figure",) if self.name in (CAPTIONS, FIGURE) else tuple(self.name.split("."))


@cache
def columns() -> tuple[Column, ...]:
    """Give the columns in the order of an entry."""
    found = {key.path: key for key in keys("exercise")}
    leaves = [key for key in found.values() if "[]" not in key.path and not _holds_keys(key, found)]
    own = [_column(key, found) for key in leaves if not key.path.startswith(("figure", "dose.repetitions."))]
    order = ["code", "title", "status", "region", "kind"]
    own.sort(key=lambda one: (order.index(one.name) if one.name in order else len(order), _last(one.name)))
    return (*own, _captions(), _drawing())


def _last(name: str) -> int:
    """Keep what is for the record behind what the patient reads."""
    return int(name.startswith(("sources", "review", "switched_off", "retired", "replaced_by")))


def _holds_keys(key: Key, found: Mapping[str, Key]) -> bool:
    return key.path != "dose.repetitions" and any(path.startswith(f"{key.path}.") for path in found)


def _column(key: Key, found: Mapping[str, Key]) -> Column:
    records = tuple(
        path.removeprefix(f"{key.path}[].") for path in found if path.startswith(f"{key.path}[].")
    )
    is_list = key.form.startswith("a list")
    choices = tuple(key.form.removeprefix("one of: ").split(", ")) if key.form.startswith("one of: ") else ()
    if key.form == "true or false":
        choices = ("true", "false")
    if key.path == "position":
        choices = _postures()
    path = key.path.split(".")

    def get(value: Mapping[str, Any]) -> str:
        return _write(_at(value, path), key, is_list=is_list, records=bool(records))

    def put(value: dict[str, Any], cell: str) -> None:
        _put(value, path, _read(cell, key, is_list=is_list, records=records))

    form = f"{key.form}{'; one line for each' if is_list else ''}"
    if records:
        form = (
            f"one line for each, such as “{records[0]}: ... | {records[1]}: ...”; keys: {', '.join(records)}"
        )
    must = "" if not key.required else " Must be there."
    recorded = key.path in RECORDED
    held = " Only limberleaf review --record changes it; a change here is refused." if recorded else ""
    note = f"{key.meaning}\nForm: {form}.{must}{held}"
    return Column(key.path, note, get, put, choices, is_list or bool(records), recorded)


def _write(value: Any, key: Key, *, is_list: bool, records: bool) -> str:
    if records:
        return cells.records_cell(value)
    if is_list:
        return cells.list_cell(value)
    return cells.repetitions_cell(value) if key.path == "dose.repetitions" else cells.text_cell(value)


def _read(cell: str, key: Key, *, is_list: bool, records: tuple[str, ...]) -> Any:
    if records:
        return cells.read_records(cell, records)
    if is_list:
        return cells.read_list(cell)
    if not cell.strip():
        return None
    if key.path == "dose.repetitions":
        return cells.read_repetitions(cell)
    if key.form == "true or false":
        return cells.truth(cell.strip())
    if key.path.startswith("dose.") or key.form == "whole number":
        return cells.number(cell)
    return cells.unescaped(cell).strip()


def _at(value: Any, path: list[str]) -> Any:
    for name in path:
        value = value.get(name) if isinstance(value, Mapping) else None
    return value


def _put(value: dict[str, Any], path: list[str], item: Any) -> None:
    """Set or take out the value at `path`; mappings left empty go too."""
    *above, name = path
    if item is None:
        inner: Any = value
        for step in above:
            inner = inner.get(step) if isinstance(inner, Mapping) else None
        if isinstance(inner, dict):
            inner.pop(name, None)
            if not inner and above:
                _put(value, above, None)
        return
    inner = value
    for step in above:
        if not isinstance(inner.get(step), dict):
            inner[step] = {}
        inner = inner[step]
    inner[name] = item


def _postures() -> tuple[str, ...]:
    """Give the postures a figure knows, which are what `position` names; none when the model does not say."""
    for model in schema("exercise")["$defs"].values():
        found = model.get("properties", {}).get("posture", {})
        for choice in (found, *found.get("anyOf", ())):
            if "enum" in choice:
                return tuple(choice["enum"])
    return ()


def _captions() -> Column:
    """Make the column of what is written under the pictures: one line for each pose."""

    def get(value: Mapping[str, Any]) -> str:
        poses = _at(value, ["figure", "poses"]) or []
        return "\n".join(cells.text_cell(pose.get("caption")) or NO_CAPTION for pose in poses)

    def put(value: dict[str, Any], cell: str) -> None:
        poses = _at(value, ["figure", "poses"]) or []
        lines = [line.strip() for line in cell.split("\n") if line.strip()]
        if len(lines) != len(poses):
            raise cells.CellError(
                f"The figure has {len(poses)} poses and this cell {len(lines)} lines. "
                f"Write one line for each pose; “{NO_CAPTION}” where a pose has no caption."
            )
        for pose, line in zip(poses, lines, strict=True):
            _put(pose, ["caption"], None if line == NO_CAPTION else cells.unescaped(line))

    note = f"What stands under each picture, one line for each pose; “{NO_CAPTION}” for none."
    return Column(CAPTIONS, note, get, put, lines=True)


def _poses(figure: Any) -> list[dict[str, Any]]:
    """Give the poses of a figure as data; ValueError for data that is no figure."""
    if figure is None:
        return []
    poses = figure.get("poses", []) if isinstance(figure, dict) else None
    if not isinstance(poses, list) or not all(isinstance(pose, dict) for pose in poses):
        raise ValueError("a figure holds a list of poses")
    return poses


def _drawing() -> Column:
    """Make the column of the drawing itself, which a table carries and people write in the entry."""

    def without_captions(value: Mapping[str, Any]) -> Any:
        figure = _at(value, ["figure"])
        if not isinstance(figure, Mapping):
            return figure
        poses = [{k: v for k, v in pose.items() if k != "caption"} for pose in figure.get("poses", [])]
        return {**figure, **({"poses": poses} if "poses" in figure else {})}

    def get(value: Mapping[str, Any]) -> str:
        figure = without_captions(value)
        return "" if figure is None else json.dumps(figure, ensure_ascii=True)

    def put(value: dict[str, Any], cell: str) -> None:
        captions = [pose.get("caption") for pose in _at(value, ["figure", "poses"]) or []]
        try:
            figure = json.loads(cell) if cell.strip() else None
            poses = _poses(figure)
        except (ValueError, RecursionError):
            raise cells.CellError(
                "This is not the figure as the table carries it. Leave the cell as it was and change the pose "
                "in the entry itself; limberleaf pose shows what it does."
            ) from None
        for pose, caption in zip(poses, captions, strict=False):
            if caption is not None:
                pose["caption"] = caption
        _put(value, ["figure"], figure)

    note = "The drawing, as data. Leave it as it is; poses are written in the entry itself."
    return Column(FIGURE, note, get, put)
