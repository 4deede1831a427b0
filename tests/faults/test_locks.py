"""Addresses outlive lost lines, merges and a clinic that renames in its second week."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from approved import record
from faults.conftest import Call

GIT = {
    "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull, "GIT_AUTHOR_NAME": "A", "GIT_AUTHOR_EMAIL": "a@x",
    "GIT_COMMITTER_NAME": "A", "GIT_COMMITTER_EMAIL": "a@x", "LC_ALL": "C",
}  # fmt: skip


def git(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["git", *arguments],
        cwd=folder,
        env={**os.environ, **GIT},
        capture_output=True,
        text=True,
        check=False,
    )


def rename(folder: Path, old: str, new: str) -> None:
    """Give an exercise another code, everywhere it is named."""
    (entry,) = folder.glob(f"content/exercises/**/{old}.yml")
    entry.rename(entry.with_name(f"{new}.yml"))
    for file in folder.glob("content/**/*.yml"):
        file.write_text(file.read_text("utf-8").replace(old, new), "utf-8")
    record(folder / "content")


@pytest.mark.parametrize("damage", ["missing", "emptied", "only the head", "cut short", "one line gone"])
@pytest.mark.parametrize("command", ["build", "check"])
def test_a_lock_that_lost_anything_is_an_error(
    clinic_folder: Path, call: Call, damage: str, command: str
) -> None:
    assert call("build").exit_code == 0
    lock = clinic_folder / "content/addresses.lock"
    text = lock.read_text("utf-8")
    lines = text.splitlines(keepends=True)
    if damage == "missing":
        lock.unlink()
    else:
        lock.write_text(
            {
                "emptied": "",
                "only the head": "".join(lines[:3]),
                "cut short": text[: len(text) // 2],
                "one line gone": "".join(lines[:-1]),
            }[damage],
            "utf-8",
        )
    result = call(command)
    assert result.exit_code == 1
    assert "[address-lock-" in result.output
    assert "version history" in result.output


def test_the_first_lock_of_a_library_made_by_hand_is_asked_for(clinic_folder: Path, call: Call) -> None:
    lock = clinic_folder / "content/addresses.lock"
    lock.unlink()
    assert "limberleaf build --first" in call("build").output
    assert call("build", "--first").exit_code == 0
    assert "/kn-01/ page" in lock.read_text("utf-8")
    assert call("build", "--first").exit_code == 1


def test_an_offline_copy_needs_no_lock(clinic_folder: Path, call: Call) -> None:
    (clinic_folder / "content/addresses.lock").unlink()
    assert call("build", "--offline").exit_code == 0


def test_check_says_what_a_build_would_refuse(clinic_folder: Path, call: Call) -> None:
    assert call("build").exit_code == 0
    assert call("check").exit_code == 0
    rename(clinic_folder, "kn-02", "kn-07")
    for command in ("check", "build"):
        result = call(command)
        assert result.exit_code == 1
        assert "[address-dropped] /kn-02/, /kn-02/left/ and /kn-02/right/ would lead nowhere" in result.output


def test_a_lock_that_is_a_folder_or_huge_is_reported(clinic_folder: Path, call: Call) -> None:
    lock = clinic_folder / "content/addresses.lock"
    lock.write_text("/a/ page\n" * 500_000, "utf-8")
    for command in ("check", "build"):
        result = call(command)
        assert (result.exit_code, "holds more than 1 MB" in result.output) == (1, True)
    lock.unlink()
    lock.mkdir()
    for command in ("check", "build"):
        result = call(command)
        assert (result.exit_code, "addresses.lock is no file" in result.output) == (1, True)


def test_a_library_in_git_that_renames_in_its_second_week_keeps_its_first_link(
    tmp_path: Path, clinic_folder: Path, call: Call
) -> None:
    """Week one is published by a fresh checkout, as on a host; week two renames, and a fresh checkout refuses it."""
    git(clinic_folder, "init", "-q", "-b", "main")
    git(clinic_folder, "add", ".")
    assert git(clinic_folder, "commit", "-qm", "First week").returncode == 0
    tracked = git(clinic_folder, "ls-files").stdout.split()
    assert "content/addresses.lock" in tracked
    assert not any(path.startswith((".limberleaf", "site")) for path in tracked)

    def published(name: str) -> tuple[int, str]:
        checkout = tmp_path / name
        git(tmp_path, "clone", "-q", str(clinic_folder), str(checkout))
        shutil.copytree(clinic_folder / ".limberleaf", checkout / ".limberleaf")
        os.chdir(checkout)
        done = call("build", "--locked")
        os.chdir(clinic_folder)
        return done.exit_code, done.output

    code, output = published("host-1")
    assert code == 1, "a host that could not keep the lock must not publish"
    assert "commit content/addresses.lock" in output
    assert "/kn-01/ page" in output or "/about/ page" in output

    assert call("build").exit_code == 0
    git(clinic_folder, "commit", "-qam", "Addresses")
    assert published("host-2")[0] == 0

    rename(clinic_folder, "kn-02", "kn-07")
    git(clinic_folder, "add", ".")
    git(clinic_folder, "commit", "-qm", "Second week")
    code, output = published("host-3")
    assert code == 1
    assert "/kn-02/" in output

    lock = clinic_folder / "content/addresses.lock"
    text = lock.read_text("utf-8")
    for side in ("", "left/", "right/"):
        text = text.replace(f"/kn-02/{side} page", f"/kn-02/{side} redirect /kn-07/{side}")
    lock.write_text(text, "utf-8")
    assert call("build").exit_code == 0
    git(clinic_folder, "commit", "-qam", "Lead the old link on")
    assert published("host-4")[0] == 0
    first = (tmp_path / "host-4/site/kn-02/left/index.html").read_text("utf-8")
    assert "kn-07/left/" in first


def test_two_branches_that_publish_different_pages_merge_by_themselves(
    clinic_folder: Path, call: Call
) -> None:
    assert call("build").exit_code == 0
    git(clinic_folder, "init", "-q", "-b", "main")
    with (clinic_folder / ".gitignore").open("a") as ignored:
        ignored.write(
            "content/approved.lock\n"
        )  # approvals of two branches are merged by hand, and not tried here
    git(clinic_folder, "add", ".")
    git(clinic_folder, "commit", "-qm", "Start")
    about = (clinic_folder / "content/pages/about.md").read_text("utf-8")
    for branch in ("aims", "aids"):
        git(clinic_folder, "checkout", "-qb", branch, "main")
        (clinic_folder / f"content/pages/{branch}.md").write_text(
            about.replace("title: ", f"title: {branch}, "), "utf-8"
        )
        record(clinic_folder / "content")
        assert call("build").exit_code == 0
        git(clinic_folder, "add", ".")
        git(clinic_folder, "commit", "-qm", branch)
    merged = git(clinic_folder, "merge", "-q", "aims", "-m", "Both")
    assert merged.returncode == 0, merged.stdout
    record(clinic_folder / "content")
    assert call("check").exit_code == 0
    assert call("build").exit_code == 0
    text = (clinic_folder / "content/addresses.lock").read_text("utf-8")
    assert text.count("# addresses:") == 1
    for branch in ("aims", "aids"):
        assert f"/{branch}/ page" in text


@pytest.mark.parametrize("file", ["addresses.lock", "exercises/knee/kn-02.yml"])
def test_marks_of_an_unfinished_merge_are_named_with_the_way_out(
    clinic_folder: Path, call: Call, file: str
) -> None:
    assert call("build").exit_code == 0
    path = clinic_folder / "content" / file
    lines = path.read_text("utf-8").splitlines()
    lines[5:6] = ["<<<<<<< HEAD", lines[5], "=======", lines[5], ">>>>>>> theirs"]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    for command in ("check", "build"):
        result = call(command)
        assert result.exit_code == 1
        assert f"{file}:6:1" in result.output
        assert "[merge-conflict]" in result.output
        assert "Traceback" not in result.output
