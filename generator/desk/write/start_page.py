"""The page where writing begins: drafts, what can be begun, and the history (git's, or dated states)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, get_args

from limberleaf.desk.answers import Asked
from limberleaf.desk.git import GitError, commit, git_state
from limberleaf.desk.write.entry_state import state_of
from limberleaf.desk.write.kinds import FOLDERS, target_of, values_of
from limberleaf.desk.write.words import LANGUAGES, DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.library.models.exercise import Region


class StartPage:
    """The questions of the page where writing begins."""

    def __init__(self, workspace: Workspace) -> None:
        self._work = workspace

    @property
    def questions(self) -> Mapping[str, Callable[[Asked], Any]]:
        """Give the questions by name."""
        return {"start": self.start, "commit": self.commit}

    def start(self, asked: Asked) -> dict[str, Any]:
        """Give all that the first page shows; of the drafts the newest first."""
        words = desk_words(str(asked.get("language") or "en"))
        drafts = [
            {"path": one.path, "title": _title(one.value, one.path), "who": one.who, "when": one.when}
            for one in sorted(self._work.draft_store.drafts(), key=lambda one: one.when, reverse=True)
        ]
        return {
            "words": words.script(),
            "languages": [[one, desk_words(one).say("language_name")] for one in LANGUAGES],
            "kinds": [[kind, words.say(f"kinds.{kind}")] for kind in FOLDERS.values()],
            "regions": [[one, words.option("region", one)] for one in get_args(Region)],
            "drafts": drafts,
            "who": str(asked.get("user") or ""),
            "git": self._git(words),
        }

    def _git(self, words: DeskWords) -> dict[str, Any]:
        checkout = self._work.desk.checkout
        if checkout.missing:
            return {"branch": "", "changes": [], "dated": self._dated()}
        try:
            branch, changed = git_state(self._work.content)
        except GitError:
            return {"branch": "", "changes": [], "dated": self._dated()}
        return {
            "branch": branch,
            "changes": [self._sentence(state, path, words) for state, path in changed],
            "dated": [],
        }

    def _sentence(self, state: str, path: str, words: DeskWords) -> str:
        """Say a changed file in a sentence: the title of its entry, and what happened to it."""
        target = target_of(path)
        if target is None:
            return f"{words.record(path) or path}: {state}."
        text = self._work.text(target)
        title = _title(values_of(text or "{}")[0], path)
        if text is not None and state == "changed":
            status = getattr(state_of(self._work.desk.library, target, text).entry, "status", "")
            state = f"changed, now {status}" if status and status != "approved" else "changed"
        return f"{title} ({target.name}{f', {target.language}' if target.language else ''}): {state}."

    def _dated(self) -> list[str]:
        states = [
            (one, path)
            for path in self._work.draft_store.paths()
            for one in self._work.draft_store.history(path)
        ]
        newest = sorted(states, key=lambda pair: pair[0].when, reverse=True)[:30]
        return [
            ", ".join(filter(None, (f"{one.when[:16].replace('T', ' ')}: {path}", one.who, one.what)))
            for one, path in newest
        ]

    def commit(self, asked: Asked) -> dict[str, Any]:
        """Commit the content folder in the writer's name."""
        who, message = str(asked.get("who") or "").strip(), str(asked.get("message") or "").strip()
        if not who:
            raise RefusedToWriteError("Write your name above first: the commit carries it.")
        if len(message.split()) < 2:
            raise RefusedToWriteError("Say in a few words what changed and why.")
        try:
            commit(self._work.content, message, who)
        except GitError as error:
            raise RefusedToWriteError(str(error)) from None
        return {}


def _title(value: object, path: str) -> str:
    title = value.get("title") or value.get("name") if isinstance(value, dict) else None
    return title if isinstance(title, str) and title else path
