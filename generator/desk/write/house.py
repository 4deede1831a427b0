"""The page where writing begins, publishing, and the history: git's where there is git, else dated states."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from threading import Thread
from typing import Any, get_args

from limberleaf.desk.git import GitError, commit, git_state
from limberleaf.desk.write.kinds import FOLDERS, target_of, values_of
from limberleaf.desk.write.look import state_of
from limberleaf.desk.write.words import LANGUAGES, DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.library.models.exercise import Region

Asked = Mapping[str, Any]
MAX_OUTPUT = 6_000
"""Characters of a build's output that the page shows, the last ones."""


class House:
    """The questions of the page where writing begins."""

    def __init__(self, workspace: Workspace) -> None:
        self._work = workspace
        self._publishing: dict[str, Any] = {"running": False}

    @property
    def questions(self) -> Mapping[str, Callable[[Asked], Any]]:
        """Give the questions by name."""
        return {
            "start": self.start,
            "commit": self.commit,
            "publish": self.publish,
            "published": self.published,
        }

    def start(self, asked: Asked) -> dict[str, Any]:
        """Give all that the first page shows."""
        words = desk_words(str(asked.get("language") or "en"))
        drafts = [
            {"path": one.path, "title": _title(one.value, one.path), "who": one.who, "when": one.when}
            for one in self._work.shelf.drafts()
        ]
        return {
            "words": words.script(),
            "tongues": [[one, desk_words(one).say("language_name")] for one in LANGUAGES],
            "kinds": [[kind, words.say(f"kinds.{kind}")] for kind in FOLDERS.values()],
            "regions": [[one, words.option("region", one)] for one in get_args(Region)],
            "drafts": drafts,
            "who": str(asked.get("user") or ""),
            "git": self._git(words),
        }

    # --- the history -----------------------------------------------------------------------------------------------

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
        states = [(one, path) for path in self._work.shelf.paths() for one in self._work.shelf.history(path)]
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

    # --- publishing ------------------------------------------------------------------------------------------------

    def publish(self, asked: Asked) -> dict[str, Any]:
        """Start `limberleaf build` in the library's folder; `published` tells how it goes."""
        if not self._publishing["running"]:
            self._publishing = {"running": True}
            Thread(target=self._build, daemon=True).start()
        return self._publishing

    def published(self, asked: Asked) -> dict[str, Any]:
        """Tell how the build goes."""
        return self._publishing

    def _build(self) -> None:
        content = self._work.content.absolute()
        code = "from limberleaf.cli import main; main()"
        first = [] if (content / "addresses.lock").exists() else ["--first"]
        command = [sys.executable, "-c", code, "build", "--content", str(content), *first]
        try:
            done = subprocess.run(command, cwd=content.parent, capture_output=True, check=False,
                                  encoding="utf-8", errors="replace",
                                  env={**os.environ, "PYTHONIOENCODING": "utf-8"})  # fmt: skip
        except OSError as error:
            self._publishing = {"running": False, "done": False, "said": str(error)}
            return
        output = (done.stdout + done.stderr).strip()
        said_where = output.rpartition("The site is in ")
        site = said_where[2].partition("\n")[0] if said_where[1] else "site"
        self._publishing = {
            "running": False,
            "done": done.returncode == 0,
            "said": output[-MAX_OUTPUT:],
            "where": Path(site).name,
        }


def _title(value: object, path: str) -> str:
    title = value.get("title") or value.get("name") if isinstance(value, dict) else None
    return title if isinstance(title, str) and title else path
