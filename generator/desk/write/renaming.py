"""Another name for a ladder, collection or caution that nothing names yet and nobody has approved.

A name is a reference: in entries, translations, plans, pages, drafts and approvals. A name that changed in some of them
would stop the next build, so an entry that any of them names keeps its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import yaml

from limberleaf.clinical.governance.approval import lock_of
from limberleaf.desk.write.kinds import Target, target_of, values_of
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.library.yaml.source import compose
from limberleaf.output import OutputError
from limberleaf.pages.addresses import LOCK_FILE, LockFile

_INSTEAD = "Make a variant under the new name instead, and retire this one."


def rename_entry(work: Workspace, target: Target, name: str, who: str) -> str:
    """Give an entry another name, and its old address the way to the new one; gives its new path.

    Raises RefusedToWriteError, with nothing written, where anything else holds the old name.
    """
    text, new = work.text(target), target_of(f"{target.path.rpartition('/')[0]}/{name}.yml")
    if text is None or new is None:
        raise RefusedToWriteError("Save the entry first.")
    _refuse_named(work, target)
    work.write(new, None, _renamed(text, name), who, "renamed")
    try:
        _lead_on(work, target, new)
    except (OutputError, OSError):
        (work.content / new.path).unlink()
        raise
    work.draft_store.keep_state(target.path, text, "", who, f"renamed to {name}")
    (work.content / target.path).unlink()
    return new.path


def _refuse_named(work: Workspace, target: Target) -> None:
    if work.draft_store.draft(target.path) is not None:
        raise RefusedToWriteError("Save or throw away what was typed in it first.")
    named = sorted({*_files(work, target), *_drafts(work, target)})
    if named:
        raise RefusedToWriteError(f"These name it still; change them first: {', '.join(named)}. {_INSTEAD}")
    lock = lock_of(work.desk.library)
    if lock is not None and target.lock_name in lock.entries:
        raise RefusedToWriteError(f"It was approved under this name, which stays. {_INSTEAD}")


def _files(work: Workspace, target: Target) -> Iterator[str]:
    """Give the files of the library that name an entry, each by its path; one that cannot be read may do so."""
    for file in sorted(work.content.rglob("*")):
        path = file.relative_to(work.content).as_posix()
        if file.suffix not in (".yml", ".yaml", ".md") or path == target.path:
            continue
        text = file.read_bytes().decode("utf-8", "replace")
        if target.name not in text:
            continue
        value, unreadable = (text, "") if file.suffix == ".md" else values_of(text.removeprefix("\ufeff"))
        if unreadable or _names(value, target.name):
            yield path


def _drafts(work: Workspace, target: Target) -> Iterator[str]:
    for draft in work.draft_store.drafts():
        if _names(draft.value, target.name):
            yield f"{draft.path} (not saved)"


def _names(value: Any, name: str) -> bool:
    """Tell whether a text within a value is the name, or links to it."""
    if isinstance(value, Mapping):
        return any(_names(one, name) for one in value.values())
    if isinstance(value, list):
        return any(_names(one, name) for one in value)
    return isinstance(value, str) and bool(
        value == name or re.search(rf"\[\[\s*{re.escape(name)}\s*[\]|]", value)
    )


def _renamed(text: str, name: str) -> str:
    """Give the text with another id; every other character stays, keys without a value too."""
    try:
        root = compose(text)
    except yaml.YAMLError:
        root = None
    for key, node in root.value if isinstance(root, yaml.MappingNode) else ():
        if key.value == "id" and isinstance(node, yaml.ScalarNode):
            made = f'{text[: node.start_mark.index]}"{name}"{text[node.end_mark.index :]}'
            if values_of(made)[0].get("id") == name:
                return made
    raise RefusedToWriteError("This entry cannot be read just now. Mend it first.")


def _lead_on(work: Workspace, target: Target, new: Target) -> None:
    """Write the line by which the old address leads to the new one."""
    file = work.content / LOCK_FILE
    if target.folder not in ("ladders", "collections") or not file.is_file():
        return
    before = file.read_bytes()
    old, to = f"/{target.folder}/{target.name}/", f"/{new.folder}/{new.name}/"
    lines = before.decode("utf-8").splitlines(keepends=True)
    after = [f"{old} redirect {to}\n" if line.split()[:1] == [old] else line for line in lines]
    if after != lines:
        LockFile(work.content).replace(before, "".join(after))
