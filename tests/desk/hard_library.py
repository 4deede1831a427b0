"""A small library with an entry that is hard to read, and its history in git: three commits and an edit."""

from __future__ import annotations

import subprocess
from pathlib import Path

from approved import starter_files

ENTRY = "content/exercises/knee/kn-02.yml"

AIM = "aim: Build the strength at the front of your thigh, so that stairs feel easier.\n"
FIRST_AIM = (
    "aim: This intervention facilitates the progressive restoration of quadriceps function, and is intended for "
    "individuals experiencing significant difficulty when negotiating stairs.\n"
)
HARD_STEP = (
    "  - Gradually extend the {affected} knee against gravity until approximately full extension is achieved, and then "
    "hold this position.\n"
)
PLAIN_STEP = "  - Lift the foot of your {affected} leg until the knee is almost straight.\n"
PLAIN_CAPTION = "caption: Lift the foot of your {affected} leg until the knee is almost straight."
HARD_CAPTION = "caption: Gradually extend the {affected} knee against gravity."
MORE = """suits:
  - You can sit with both feet flat on the floor and you feel safe when you do.
  - Individuals with degenerative joint conditions generally experience considerable functional improvement.
  - Your physiotherapist has watched you do it once and told you that it is right for you.
watch_for:
  - The knee should not be forced.
  - Do not lean back to get your foot up, since that rests the muscle that you want to train here.
  - Do not swing your leg up fast, and let it come down as slowly as it went up.
"""
OFF = """switched_off:
  - {rule: plain-words, text: considerable, reason: Patients here know the word; three of them read it.}
  - {rule: jargon, text: nowhere, reason: Left from an earlier version.}
"""


def git(folder: Path, *arguments: str, day: str = "2026-09-01") -> None:
    """Run git without anybody's settings."""
    environment = {
        "PATH": "/usr/bin:/bin", "HOME": str(folder), "GIT_CONFIG_NOSYSTEM": "1",
        "GIT_AUTHOR_DATE": f"{day}T10:00:00Z", "GIT_COMMITTER_DATE": f"{day}T10:00:00Z",
        "GIT_AUTHOR_NAME": "Editor", "GIT_AUTHOR_EMAIL": "editor@quillmere.example",
        "GIT_COMMITTER_NAME": "Editor", "GIT_COMMITTER_EMAIL": "editor@quillmere.example",
    }  # fmt: skip
    subprocess.run(["git", *arguments], cwd=folder, check=True, env=environment, capture_output=True)


def write_starter(folder: Path) -> str:
    """Write the starter library; give the text of the entry."""
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    return (folder / ENTRY).read_text("utf-8")


def hard_text(plain: str) -> str:
    """Give the entry with more words, hard ones among them, and two rules switched off."""
    cut = plain.replace("suits: [You can sit with both feet on the floor.]\n", "")
    cut = cut.replace("watch_for: [Do not lean back to get your foot up.]\n", MORE + OFF)
    return cut.replace(PLAIN_STEP, HARD_STEP).replace(PLAIN_CAPTION, HARD_CAPTION)


def hard_library(folder: Path) -> Path:
    """Make the library: version 1 hard and approved, version 2 plain and approved, then a hard draft, then an edit."""
    plain = write_starter(folder)
    (folder / "content/approved.lock").unlink()  # it is older than the record of approvals
    file = folder / ENTRY
    first = hard_text(plain).replace(AIM, FIRST_AIM).replace("reviewed: 2026-09-01", "reviewed: 2024-03-01")
    file.write_text(first.replace("due: 2028-09-01", "due: 2026-03-01"), "utf-8")
    git(folder, "init", "--quiet", "--initial-branch=main")
    git(folder, "add", "--all")
    git(folder, "commit", "--quiet", "--message=Take over the leaflet", day="2024-03-02")
    file.write_text(plain.replace("version: 1}", "version: 2}"), "utf-8")
    git(folder, "commit", "--quiet", "--all", "--message=Say it plainly", day="2026-09-02")
    draft = (
        hard_text(plain)
        .replace("version: 1}", "version: 2}")
        .replace("status: approved", "status: in_review")
    )
    file.write_text(draft, "utf-8")
    git(folder, "commit", "--quiet", "--all", "--message=Add more detail", day="2026-10-05")
    draft = draft.replace("{sets} {days_a_week}.", "3 sets on 3 days a week.")
    file.write_text(draft.replace("sets: 3, repetitions: 8-12", "sets: 2, repetitions: 8-12"), "utf-8")
    return folder
