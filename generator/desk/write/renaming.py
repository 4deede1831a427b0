"""Another name for a ladder, collection or caution: its file, its translations, and every entry that names it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from limberleaf.desk.write.form.fields import form_layout
from limberleaf.desk.write.kinds import Target, target_of, values_of
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.library.yaml.yaml_edit import CannotEditError, edited
from limberleaf.pages.addresses import LOCK_FILE, LockFile


def rename_entry(work: Workspace, target: Target, to: Target, who: str) -> list[str]:
    """Give an entry the name of `to`; gives the paths of the entries that name it, which now name the new one.

    All new texts are made before the first is written. Raises RefusedToWriteError where one cannot be made.
    """
    moves = dict(_moves(work, target, to))
    users = {path: text for path, text in _users(work.content, target, to) if path not in moves}
    for path, (new, text) in moves.items():
        old = target_of(path)
        if old is None:
            raise RefusedToWriteError("Choose an entry.")
        work.write(new, None, text, who, "renamed")
        work.draft_store.keep_state(path, work.text(old), "", who, f"renamed to {to.name}")
        (work.content / path).unlink()
    for path, text in users.items():
        user = target_of(path)
        if user is not None:
            work.write(user, work.text(user), text, who, f"{target.name} renamed to {to.name}")
    _lead_on(work.content, target, to)
    return sorted(users)


def _moves(work: Workspace, target: Target, to: Target) -> Iterator[tuple[str, tuple[Target, str]]]:
    """Give the entry's own file and its translations by path, each with its new target and its new text."""
    folder = (work.content / target.path).parent
    for file in sorted(folder.glob(f"{target.name}*.yml")):
        path = file.relative_to(work.content).as_posix()
        one = target_of(path)
        if one is None or (one.folder, one.name) != (target.folder, target.name):
            continue
        new = target_of(path.removesuffix(file.name) + file.name.replace(target.name, to.name, 1))
        text = work.text(one)
        if new is None or text is None:
            continue
        value = values_of(text)[0]
        own = {"translates": {**value["translates"], "id": to.name}} if one.language else {"id": to.name}
        yield path, (new, _edited(path, text, {**value, **own}))


def _users(content: Path, target: Target, to: Target) -> Iterator[tuple[str, str]]:
    """Give each entry that names it, with its text naming the new one."""
    for file in sorted(content.rglob("*.yml")):
        path = file.relative_to(content).as_posix()
        if target_of(path) is None:
            continue
        text = file.read_text("utf-8")
        if target.name not in text:
            continue
        value = values_of(text)[0]
        named = _naming(value, target, to.name)
        if named != value:
            yield path, _edited(path, text, named)


def _edited(path: str, text: str, value: Any) -> str:
    try:
        return edited(text, value)
    except CannotEditError:
        raise RefusedToWriteError(f"{path} cannot be changed here: mend it first.") from None


def _naming(value: Any, target: Target, name: str, key: str = "") -> Any:
    """Give a value in which fields that pick this kind of entry, and links in texts, name the new one."""
    if isinstance(value, Mapping):
        return {inner: _naming(one, target, name, inner) for inner, one in value.items()}
    if isinstance(value, list):
        return [_naming(one, target, name, key) for one in value]
    if not isinstance(value, str):
        return value
    kinds: Mapping[str, str] = form_layout()["picks"]
    if value == target.name and kinds.get(key) == target.kind:
        return name
    return re.sub(rf"\[\[{re.escape(target.name)}(?=[\]|])", f"[[{name}", value)


def _lead_on(content: Path, target: Target, to: Target) -> None:
    """Write the line by which the old address leads to the new one."""
    file = content / LOCK_FILE
    if target.folder not in ("ladders", "collections") or not file.is_file():
        return
    lines = file.read_text("utf-8").splitlines(keepends=True)
    old, new = f"/{target.folder}/{target.name}/", f"/{to.folder}/{to.name}/"
    after = [f"{old} redirect {new}\n" if line.split()[:1] == [old] else line for line in lines]
    if after != lines:
        LockFile(content).replace(file.read_bytes(), "".join(after))
