"""The questions the writing page asks, each a small function from what it sends to what it gets back."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import asdict
from difflib import unified_diff
from typing import Any

from limberleaf.desk.answers import TYPES, Answer, Asked, RefusedError
from limberleaf.desk.write.approval.approval_status import approval_status_of
from limberleaf.desk.write.blanks import blanks_data
from limberleaf.desk.write.entry_files import EntryFiles
from limberleaf.desk.write.entry_findings import findings_data, findings_of
from limberleaf.desk.write.entry_state import (
    EntryState,
    dose_data,
    marks_data,
    picks,
    read_words,
    reading_data,
)
from limberleaf.desk.write.form.fields import form_of
from limberleaf.desk.write.form.form_words import form_words
from limberleaf.desk.write.kinds import values_of
from limberleaf.desk.write.patient_page import PatientPages
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.figures import Figures
from limberleaf.library.models.exercise import PainBands
from limberleaf.output import OutputError, explained
from limberleaf.words import interface_words

PAGES_KEPT = 8
"""States of entries whose patient's pages can be shown: one for each page of the desk that is open."""


class WriteApi:
    """Answers below `ask/` and `preview/`; see `Api` in app.py."""

    def __init__(
        self, workspace: Workspace, figures: Figures, *more: Mapping[str, Callable[[Asked], Any]]
    ) -> None:
        self._work, self._figures = workspace, figures
        self._shown: OrderedDict[str, PatientPages] = OrderedDict()
        self._entry_files = EntryFiles(workspace)
        self._questions: dict[str, Callable[[Asked], Any]] = {
            "open": self._open,
            "look": self._look,
            "save": self._save,
            "undo": self._undo,
            "leave": self._leave,
            **self._entry_files.questions,
            **{name: answer for one in more for name, answer in one.items()},
        }

    def page(self, path: str) -> Answer | None:
        """Give a page of the patient's site as it is being written: `preview/PAGE/...`."""
        if not path.startswith("preview/"):
            return None
        _, page, rest = (*path.split("/", 2), "")[:3]
        pages = self._shown.get(page)
        made = pages.file(rest) if pages else None
        if made is None:
            return None
        end = rest.rpartition(".")[2] if "." in rest else "html"
        return TYPES.get(end, "application/octet-stream"), made.encode() if isinstance(made, str) else made

    def asked(self, path: str, asked: object, who: str) -> Answer | None:
        """Answer a question: `ask/NAME`."""
        answer = self._questions.get(path.removeprefix("ask/"))
        if answer is None:
            return None
        if not isinstance(asked, dict):
            raise RefusedError("400 Bad Request", "Send an object.")
        given = {**asked, "user": who, "who": who or _text(asked, "who")[:80]}
        try:
            answered = answer(given)
        except RefusedToWriteError as error:
            answered = {"refused": str(error)}
        except OSError as error:  # a full disk, a folder nobody may write to
            answered = {"refused": str(explained(error, self._work.content))}
        except OutputError as error:
            answered = {"refused": str(error)}
        return TYPES["json"], json.dumps(answered, ensure_ascii=False).encode()

    # --- opening and looking -------------------------------------------------------------------------------------

    def _open(self, asked: Asked) -> dict[str, Any]:
        opened = self._work.open(asked.get("path"))
        words = desk_words(_text(asked, "language"))
        target = opened.target
        library = self._work.desk.library
        answer: dict[str, Any] = {
            "path": target.path,
            "kind": target.kind,
            "kind_words": words.say(f"kinds.{target.kind}"),
            "name": target.name,
            "translation": target.language,
            "form": form_of(target.kind, words),
            "base": opened.text,
            "value": opened.value,
            "draft": asdict(opened.draft) if opened.draft else None,
            "unreadable": opened.unreadable,
            "picks": picks(library),
            "words": words.script(),
            "languages": [
                [one, interface_words(one).say("language_name")] for one in library.settings.languages
            ],
            "undo": bool(self._work.draft_store.history(target.path)),
            "git": not self._work.desk.checkout.missing,
            "suggest": desk_words(target.language or library.settings.language).suggested(),
            "bands": _bands(library.settings.pain_bands, words),
        }
        if target.language:
            answer["original"] = self._entry_files.original(target)
        return answer

    def _look(self, asked: Asked) -> dict[str, Any]:
        target = self._work.target(asked.get("path"))
        base, value = _base(asked), asked.get("value")
        page, who = _text(asked, "page"), _text(asked, "who")
        other = self._work.locks.take(target.path, page, who)
        state = self._work.state(target, base, value)
        changed = _difference(base or "", state)
        if asked.get("typed"):
            if changed or base is None:
                self._work.draft_store.keep_draft(target.path, base, value, who)
            else:  # taken back to what is saved
                self._work.draft_store.drop_draft(target.path)
        words, desk = desk_words(_text(asked, "language")), self._work.desk
        pages = PatientPages(state, self._figures, words) if state.shown is not None else None
        if pages is not None and page.isalnum():
            self._shown[page] = pages
            self._shown.move_to_end(page)
            while len(self._shown) > PAGES_KEPT:
                self._shown.popitem(last=False)
        reading, found = read_words(state, value, desk.readings)
        findings = findings_of(
            state, self._work.today(), self._figures, desk.readings.store, whole=bool(asked.get("whole"))
        )
        return {
            "findings": findings_data(target.kind, findings, words),
            "standing": approval_status_of(state).data(words),
            "marks": marks_data(reading, found, form_words(target.kind, words)),
            "reading": reading_data(reading, state.library.settings.reading.target_grade),
            "dose": dose_data(state),
            "blanks": blanks_data(state, words),
            "whole": state.entry is not None,
            "page": f"preview/{page}/{pages.address}" if pages and pages.address else "",
            "changed": changed,
            "same": not changed and base is not None,
            "other": other,
            "stale": self._work.text(target) != base,
        }

    # --- saving --------------------------------------------------------------------------------------------------

    def _save(self, asked: Asked) -> dict[str, Any]:
        target = self._work.target(asked.get("path"))
        base, value = _base(asked), asked.get("value")
        conflicts = self._work.conflicts(target, base, value)
        if conflicts:
            theirs = self._work.text(target)
            return {
                "conflicts": [asdict(one) for one in conflicts],
                "theirs": theirs,
                "value": values_of(theirs or "{}")[0],
            }
        text = self._work.save(target, base, value, _text(asked, "who"), _text(asked, "what"))
        return {"base": text, "value": values_of(text)[0]}

    def _undo(self, asked: Asked) -> dict[str, Any]:
        target = self._work.target(asked.get("path"))
        text = self._work.take_back(target, _text(asked, "who"))
        self._work.draft_store.drop_draft(target.path)
        return {"base": text, "value": values_of(text)[0]}

    def _leave(self, asked: Asked) -> dict[str, Any]:
        """Let go of the lock, and throw the draft away when asked to."""
        target = self._work.target(asked.get("path"))
        if asked.get("take"):
            self._work.locks.take_over(target.path, _text(asked, "page"), _text(asked, "who"))
            return {}
        self._work.locks.release(target.path, _text(asked, "page"))
        if asked.get("drop"):
            self._work.draft_store.drop_draft(target.path)
        return {}


def _difference(base: str, state: EntryState) -> list[str]:
    """Give the lines a save would change, as they go and come."""
    lines = unified_diff(base.splitlines(), state.source.text.splitlines(), n=0, lineterm="")
    return [line for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]


def _bands(bands: PainBands, words: DeskWords) -> str:
    """Say the clinic's bands: “Carry on 0-3, ease off 4-5, stop 6-10”."""
    return ", ".join(
        f"{words.field(f'feelings.{name}')} {band.low}-{band.high}"
        for name, band in (("carry_on", bands.carry_on), ("ease_off", bands.ease_off), ("stop", bands.stop))
    )


def _base(asked: Asked) -> str | None:
    base = asked.get("base")
    return base if isinstance(base, str) else None


def _text(asked: Mapping[str, Any], name: str) -> str:
    text = asked.get(name)
    return text.strip() if isinstance(text, str) else ""
