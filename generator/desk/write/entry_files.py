"""Making entries: a new one, a variant, a translation; giving one a new name; retiring one."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, get_args

from limberleaf.clinical.governance.approval import lock_of, now
from limberleaf.clinical.governance.difference import differences
from limberleaf.desk.answers import Asked
from limberleaf.desk.write.kinds import FOLDERS, Target, target_of, values_of
from limberleaf.desk.write.renaming import rename_entry
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.library.models.exercise import Region
from limberleaf.library.models.group_words import group_fingerprint
from limberleaf.library.translate import fingerprint
from limberleaf.library.yaml.source import Loc
from limberleaf.library.yaml.yaml_edit import edited, without_none
from limberleaf.starter import ENTRY_PATHS

_CODE, _IDENT = r"[a-z]{2,4}-[0-9]{2,3}", r"[a-z][a-z0-9]*(-[a-z0-9]+)*"
_FOLDER = {kind: folder for folder, kind in FOLDERS.items()}
_WORDS_STAY = {
    "exercise": ("title", "aim", "affected_word", "suits", "leave_out_if", "working_side", "base_side", "setup",
                 "steps", "dose_reason", "feelings", "in_short", "watch_for", "synonyms"),
    "ladder": ("title", "aim", "synonyms"),
    "collection": ("title", "summary", "about", "before_you_start", "questions", "come_back_when", "synonyms"),
    "caution": ("title", "signs", "action"),
}  # fmt: skip
"""The keys whose words a translation says in its own language."""


class EntryFiles:
    """The questions that make, rename and retire entries."""

    def __init__(self, workspace: Workspace) -> None:
        self._work = workspace

    @property
    def questions(self) -> Mapping[str, Callable[[Asked], Any]]:
        """Give the questions by name."""
        return {"new": self.new, "copy": self.copy, "translate": self.translate, "rename": self.rename,
                "retire": self.retire, "next-code": self.next_code}  # fmt: skip

    def next_code(self, asked: Asked) -> dict[str, str]:
        """Give the next free code of a region."""
        return {"name": self._next_code(str(asked.get("region")))}

    def _next_code(self, region: str) -> str:
        library = self._work.desk.library
        codes = {**library.exercises, **dict.fromkeys(self._draft_codes())}
        here = [code for code, one in library.exercises.items() if one.entry.region == region]
        letters = here[0].split("-")[0] if here else region.replace("_", "")[:2]
        numbers = [int(code.split("-")[1]) for code in codes if code.split("-")[0] == letters]
        return f"{letters}-{max(numbers, default=0) + 1:02d}"

    def _draft_codes(self) -> list[str]:
        found = [target_of(draft.path) for draft in self._work.draft_store.drafts()]
        return [one.name for one in found if one and one.kind == "exercise"]

    def new(self, asked: Asked) -> dict[str, str]:
        """Begin a new entry as a draft: nothing is written into the library before its first save."""
        kind, name, region = (str(asked.get(key) or "") for key in ("kind", "name", "region"))
        if kind not in _FOLDER:
            raise RefusedToWriteError("Choose what to write.")
        if region not in get_args(Region):
            raise RefusedToWriteError("Choose the part of the body.")
        target = self._free(kind, name or self._next_code(region), region)
        value: dict[str, Any] = {"title": str(asked.get("title") or "")}
        if kind != "caution":
            value["region"] = region
        if kind == "exercise":
            value["figure"] = {"poses": [{"posture": "standing"}]}
        self._begin(target, value, asked)
        return {"path": target.path}

    def copy(self, asked: Asked) -> dict[str, str]:
        """Begin a variant: the same entry under another name, with a review of its own."""
        source = self._work.target(asked.get("path"))
        value = values_of(self._work.text(source) or "{}")[0]
        region = str(value.get("region", ""))
        target = self._free(source.kind, str(asked.get("name") or "") or self._next_code(region), region)
        copied = {key: item for key, item in value.items() if key not in ("review", "status", "code", "id")}
        copied["title"] = f"{value.get('title', '')} (variant)"
        self._begin(target, copied, asked)
        return {"path": target.path}

    def _free(self, kind: str, name: str, region: str) -> Target:
        """Give where a new entry goes; refuse a name that is no address or is taken."""
        pattern = _CODE if kind == "exercise" else _IDENT
        if not re.fullmatch(pattern, name):
            form = "a code such as kn-12" if kind == "exercise" else "small letters, digits and hyphens"
            raise RefusedToWriteError(f"“{name}” cannot be an address; write {form}.")
        library = self._work.desk.library
        if name in getattr(library, _FOLDER[kind]):
            raise RefusedToWriteError(f"“{name}” is taken already.")
        target = target_of(ENTRY_PATHS[kind].format(region=region or "whole_body", name=name))
        assert target is not None  # noqa: S101 - the pattern above is narrower than that of paths
        if self._work.text(target) is not None or self._work.draft_store.draft(target.path) is not None:
            raise RefusedToWriteError(f"“{name}” is taken already.")
        return target

    def _begin(self, target: Target, value: Mapping[str, Any], asked: Asked) -> None:
        own = {
            "code" if target.kind == "exercise" else "id": target.name,
            "title": value.get("title") or None,
        }
        owner = self._owner()
        rest = {**value, "status": "draft", "review": {"owner": owner, "version": 1}}
        self._work.draft_store.keep_draft(
            target.path, None, without_none({**own, **rest}), str(asked.get("who") or "")
        )

    def _owner(self) -> str:
        """Give the role that keeps most entries."""
        library = self._work.desk.library
        owners = [one.entry.review.owner for one in library.exercises.values()]
        return max(sorted(set(owners)), key=owners.count) if owners else "Lead physiotherapist"

    # --- translations ----------------------------------------------------------------------------------------------

    def original(self, target: Target) -> dict[str, Any]:
        """Give what a translation is made from: its values, and whether they changed since."""
        loaded = getattr(self._work.desk.library, target.folder).get(target.name)
        if loaded is None:
            return {}
        value = values_of(loaded.source.text)[0]
        if "poses" in value.get("figure", {}):
            value["figure"] = {"captions": [pose.get("caption") for pose in value["figure"]["poses"]]}
        return {
            "value": value,
            "version": loaded.entry.review.version,
            "fingerprint": _fingerprint(target.folder, loaded.entry),
            "stale": self._stale(target, loaded.entry),
        }

    def _stale(self, target: Target, entry: Any) -> list[list[str | int]]:
        """Give the ways to parts of the original that changed since it was approved, and the translation with it."""
        lock = lock_of(self._work.desk.library)
        approved = lock.entries.get(f"{target.folder}/{target.name}") if lock else None
        if approved is None:
            return []
        language = self._work.desk.library.settings.language
        return [_in_form(one.loc) for one in differences(approved.fields, now(entry).fields, language)]

    def translate(self, asked: Asked) -> dict[str, str]:
        """Begin a translation, or open the one there is."""
        source = self._work.target(asked.get("path"))
        language = str(asked.get("language") or "")
        library = self._work.desk.library
        if (
            source.language
            or source.kind not in _WORDS_STAY
            or language not in library.settings.languages[1:]
        ):
            raise RefusedToWriteError("Choose one of the clinic's other languages.")
        target = target_of(source.path.removesuffix(".yml") + f".{language}.yml")
        loaded = getattr(library, source.folder).get(source.name)
        if target is None or loaded is None:
            raise RefusedToWriteError("Save the entry first; a translation is made from what is saved.")
        if self._work.text(target) is None and self._work.draft_store.draft(target.path) is None:
            self._begin_translation(target, source, loaded.entry, values_of(loaded.source.text)[0], asked)
        return {"path": target.path}

    def _begin_translation(
        self, target: Target, source: Target, entry: Any, value: Any, asked: Asked
    ) -> None:
        name = "code" if source.kind == "exercise" else "id"
        made: dict[str, Any] = {
            "translates": {
                name: source.name,
                "version": entry.review.version,
                "fingerprint": _fingerprint(source.folder, entry),
            },
            "status": "draft",
        }
        made.update({key: value[key] for key in _WORDS_STAY[source.kind] if key in value})
        if source.kind == "exercise":
            made["equipment"] = [
                {"instead": one["instead"]} for one in value.get("equipment", []) if "instead" in one
            ]
            made.update(
                {way: {"when": value[way]["when"]} for way in ("easier", "harder", "instead") if way in value}
            )
            poses = value.get("figure", {}).get("poses", [])
            made["figure"] = {"captions": [pose.get("caption", "") for pose in poses]}
            made["feelings"] = {key: item for key, item in value["feelings"].items() if key != "bands"}
        if source.kind == "ladder":
            words = ("start_here_if", "move_on_when", "step_back_when", "same_or_less_because")
            made["steps"] = [{key: one[key] for key in words if key in one} for one in value["steps"]]
            if "if_you_cannot" in value:
                made["if_you_cannot"] = {"when": value["if_you_cannot"]["when"]}
        begun = {**_blank(made), "translates": made["translates"], "status": "draft"}
        begun["review"] = {"owner": self._owner(), "version": 1}
        self._work.draft_store.keep_draft(target.path, None, without_none(begun), str(asked.get("who") or ""))

    # --- names and ends --------------------------------------------------------------------------------------------

    def rename(self, asked: Asked) -> dict[str, str]:
        """Give a ladder, collection or caution that nothing names another name; its old address leads on.

        The code of an exercise never changes: it is on paper, in links and in plans.
        """
        target, name = self._work.target(asked.get("path")), str(asked.get("name") or "")
        if target.kind == "exercise" or target.language or target.kind not in _FOLDER:
            raise RefusedToWriteError(
                "The code of an exercise stays: it is on paper and in links. Change its title instead."
            )
        text = self._work.text(target)
        if text is None:
            raise RefusedToWriteError("Save the entry first.")
        self._free(target.kind, name, "")
        return {"path": rename_entry(self._work, target, name, str(asked.get("who") or ""))}

    def retire(self, asked: Asked) -> dict[str, Any]:
        """Take an entry off the site for a reason; its address stays and says so, or leads on."""
        target = self._work.target(asked.get("path"))
        text, because = self._work.text(target), str(asked.get("because") or "").strip()
        instead = str(asked.get("replaced_by") or "").strip()
        if text is None:
            self._work.draft_store.drop_draft(target.path)
            return {"gone": True}
        if len(because.split()) < 3 and not instead:
            raise RefusedToWriteError("Say why in a sentence of three words or more.")
        if target.kind not in _FOLDER:
            raise RefusedToWriteError("Only exercises, ladders, collections and cautions are retired.")
        value = {**values_of(text)[0], "status": "retired"}
        if because:
            value["retired_because"] = because
        if instead and target.kind == "exercise":
            value["replaced_by"] = instead
        self._work.write(target, text, edited(text, value), str(asked.get("who") or ""), "retired")
        return {"gone": True}


def _fingerprint(folder: str, entry: Any) -> str:
    return fingerprint(entry) if folder == "exercises" else group_fingerprint(folder, entry)


def _blank(value: Any) -> Any:
    """Give a value with the same lines and no words: what is left in the first language could pass for translated."""
    if isinstance(value, dict):
        return {key: _blank(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_blank(one) for one in value]
    return "" if isinstance(value, str) else value


def _in_form(loc: Loc) -> list[str | int]:
    """Give the way to a part of an original as the form of its translation has it: captions stand in a list."""
    if loc[:2] == ("figure", "poses") and loc[-1] == "caption":
        return ["figure", "captions", loc[2]]
    return list(loc[:1] if loc[:1] == ("figure",) else loc)
