"""What an entry was before, asked of git: fixed commands, nothing of the network; only `commit` writes.

Where there is no git, no checkout or no answer in time, `Checkout.missing` says so in plain words.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

MOST_REVISIONS = 40
SECONDS = 10

_GIT = (
    "git",
    "--no-pager",
    "--literal-pathspecs",
    "-c",
    "core.fsmonitor=false",
    "-c",
    "log.showSignature=false",
)
_LOG = (
    "log", "--follow", "--no-ext-diff", "--no-textconv", "--no-abbrev", "--raw", "-z", f"-n{MOST_REVISIONS}",
    "--format=%x01%H%x02%cs%x02%s",
)  # fmt: skip
_NOT_OURS = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_EXTERNAL_DIFF", "GIT_TRACE")


class GitError(Exception):
    """Git gave no answer; the text says why in plain words."""


@dataclass(frozen=True)
class Revision:
    """One commit that touched a file: its short name, day, first line, and the content's own name in git."""

    commit: str
    day: date
    subject: str
    blob: str


@dataclass
class Checkout:
    """The git checkout a folder lies in; `missing` is empty, or says why there is no history."""

    folder: Path
    missing: str = ""
    shallow: bool = False
    _texts: dict[str, str] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, folder: Path) -> Checkout:
        """Look whether a folder lies in a checkout."""
        try:
            answers = _git(folder, "rev-parse", "--is-inside-work-tree", "--is-shallow-repository").split()
        except GitError as error:
            return cls(folder, missing=str(error))
        if answers[:1] != ["true"]:
            return cls(folder, missing="The content folder is not a git checkout.")
        return cls(folder, shallow=answers[1:] == ["true"])

    def revisions(self, path: str) -> list[Revision]:
        """Give the commits that touched a file (under its earlier names too), the newest first."""
        if self.missing:
            return []
        try:
            log = _git(self.folder, *_LOG, "--", path)
        except GitError:
            return []  # a repository without a commit has no history
        found = []
        for entry in log.split("\x01")[1:]:
            head, _, raw = entry.partition("\0")
            commit, day, subject = head.split("\x02", 2)
            fields = raw.strip("\0\n").split()
            if len(fields) > 4 and fields[0].startswith(":") and set(fields[3]) != {"0"}:
                found.append(Revision(commit[:10], date.fromisoformat(day), subject.strip(), fields[3]))
        return found

    def texts(self, blobs: Iterable[str]) -> dict[str, str]:
        """Give contents by their names in git, asked for in one go and remembered: they never change."""
        wanted = [blob for blob in dict.fromkeys(blobs) if blob not in self._texts]
        if wanted:
            self._texts.update(_contents(self.folder, wanted))
        return self._texts


def _contents(folder: Path, blobs: Sequence[str]) -> dict[str, str]:
    try:
        out = _git_bytes(folder, "cat-file", "--batch", given="".join(f"{blob}\n" for blob in blobs).encode())
    except GitError:
        return {}
    found: dict[str, str] = {}
    at = 0
    for blob in blobs:
        line = out.find(b"\n", at)
        head = out[at:line].split()
        at = line + 1
        if len(head) == 3 and head[1] == b"blob":
            size = int(head[2])
            found[blob] = out[at : at + size].decode("utf-8-sig", errors="replace")
            at += size + 1
    return found


def _git(folder: Path, *arguments: str) -> str:
    return _git_bytes(folder, *arguments).decode("utf-8", errors="replace")


def _git_bytes(folder: Path, *arguments: str, given: bytes = b"") -> bytes:
    environment = {name: value for name, value in os.environ.items() if name not in _NOT_OURS}
    environment |= {
        "LC_ALL": "C",
        "GIT_OPTIONAL_LOCKS": "0",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_NO_LAZY_FETCH": "1",
    }
    try:
        done = subprocess.run(
            [*_GIT, *arguments],
            cwd=folder,
            input=given,
            capture_output=True,
            timeout=SECONDS,
            check=False,
            env=environment,
        )
    except FileNotFoundError:
        raise GitError("git is not installed on this machine.") from None
    except (subprocess.TimeoutExpired, OSError):
        raise GitError("git did not answer.") from None
    if done.returncode:
        message = done.stderr.decode("utf-8", errors="replace")
        if "dubious ownership" in message:
            raise GitError("git does not trust this checkout, since another user owns it.")
        if "not a git repository" in message:
            raise GitError("The content folder is not a git checkout.")
        reason = message.strip() or done.stdout.decode("utf-8", errors="replace").strip()
        raise GitError(f"git refused: {reason.splitlines()[-1] if reason else arguments[0]}")
    return done.stdout


_STATES = {"A": "new", "?": "new", "M": "changed", "D": "taken away", "U": "in conflict"}


def git_state(folder: Path) -> tuple[str, list[tuple[str, str]]]:
    """Give the branch, and what differs in `folder` from the last commit: a word and the path below the folder."""
    branch = _git(folder, "branch", "--show-current").strip() or "no branch"
    fields = _git(
        folder, "status", "--porcelain", "-z", "--no-renames", "--untracked-files=all", "--", "."
    ).split("\0")
    prefix = _git(folder, "rev-parse", "--show-prefix").strip()
    return branch, [
        (_STATES.get((one[:2].strip() or "M")[0], "changed"), one[3:].removeprefix(prefix))
        for one in fields
        if one
    ]


def commit(folder: Path, message: str, name: str) -> None:
    """Commit all that changed in `folder`, in a person's name; nothing leaves the machine. Raises GitError."""
    _git(folder, "add", "--all", "--", ".")
    mail = "@".join(("".join(one for one in name.lower() if one.isalnum()) or "desk", "desk.invalid"))
    plain = " ".join(name.replace("<", "").replace(">", "").split())
    author = ("-c", f"user.name={plain}", "-c", f"user.email={mail}", "-c", "commit.gpgSign=false")
    _git(folder, *author, "commit", "--no-verify", "--quiet", f"--message={message}", "--", ".")
