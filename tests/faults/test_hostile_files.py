"""Whatever lies in the content folder: a finding at its place, quickly, and never a traceback or silence."""

from __future__ import annotations

import os
import socket
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from approved import record
from conftest import tree
from faults.conftest import Call

ENTRY = "content/exercises/knee/kn-02.yml"
MORE = "content/exercises/knee/kn-09.yml"
CLINIC = "content/clinic.yml"
PAGE = "content/pages/deep.md"
HEAD = "---\ntitle: Deep\ndescription: A page.\n---\n"
SITE = "https://exercises.example.org/"

Break = Callable[[Path], object]


def put(path: str, text: str | bytes) -> Break:
    return lambda folder: (folder / path).write_bytes(text if isinstance(text, bytes) else text.encode())


def swap(old: str, new: str, path: str = ENTRY) -> Break:
    def change(folder: Path) -> None:
        text = (folder / path).read_text("utf-8")
        assert old in text
        (folder / path).write_text(text.replace(old, new, 1), "utf-8")

    return change


def instead(lock: str, make: Callable[[Path], object]) -> Break:
    """Take a lock away and put something else in its place."""

    def change(folder: Path) -> None:
        file = folder / "content" / lock
        file.unlink()
        make(file)

    return change


def bound(folder: Path) -> None:
    before = Path.cwd()
    os.chdir(folder / "content/exercises/knee")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("kn-09.yml")
    os.chdir(before)


def named(raw: bytes, text: str) -> Break:
    return lambda folder: Path(os.fsdecode(os.fsencode(folder) + b"/" + raw)).write_text(text, "utf-8")


CASES: dict[str, tuple[Break, str]] = {
    "a pipe": (lambda folder: os.mkfifo(folder / MORE), "cannot-read"),
    "a pipe for a page": (lambda folder: os.mkfifo(folder / PAGE), "cannot-read"),
    "a socket": (bound, "cannot-read"),
    "a link to a device": (lambda folder: (folder / MORE).symlink_to("/dev/zero"), "link-leads-out"),
    "a link to itself": (lambda folder: (folder / MORE).symlink_to("kn-09.yml"), "cannot-read"),
    "a link to nothing": (lambda folder: (folder / MORE).symlink_to("nowhere"), "cannot-read"),
    "a linked folder": (
        lambda folder: (folder / "content/exercises/more").symlink_to("knee"),
        "folder-is-a-link",
    ),
    "a folder for clinic.yml": (
        lambda folder: ((folder / CLINIC).unlink(), (folder / CLINIC).mkdir()),
        "cannot-read",
    ),
    "a name that is no UTF-8": (
        named(b"content/exercises/knee/kn-\xff.yml", "code: kn-09\n"),
        "name-not-utf8",
    ),
    "a page's name that is no UTF-8": (named(b"content/pages/a\xff.md", HEAD), "page-name"),
    "names that differ by case": (
        named(b"content/exercises/knee/KN-02.yml", "code: kn-09\n"),
        "names-differ-by-case",
    ),
    "5,000 digits": (swap("sets: 3", "sets: " + "9" * 5000), "value-too-long"),
    "5,000 digits in a range": (swap("repetitions: 8-12", "repetitions: 8-" + "9" * 4000), "not-possible"),
    "4,000 hexadecimal digits": (swap("sets: 3", "sets: 0x" + "f" * 4000), "value-too-long"),
    "an integer that is none": (swap("sets: 3", "sets: !!int x"), "tag-not-used"),
    "a truth that is none": (swap("sets: 3", "sets: !!bool x"), "tag-not-used"),
    "binary": (swap("sets: 3", "sets: !!binary eA=="), "tag-not-used"),
    "an object": (swap("sets: 3", "sets: !!python/object/apply:os.system [ls]"), "tag-not-used"),
    "a number past all numbers": (swap("sets: 3", "sets: 1e999"), "number-too-large"),
    "an open bracket in the address": (swap(SITE, '"https://[::1/"', CLINIC), "not-possible"),
    "no IPv6 in brackets": (swap(SITE, '"https://[zz::q]/"', CLINIC), "not-possible"),
    "port 99999": (swap(SITE, '"https://x.example:99999/"', CLINIC), "not-possible"),
    "a NUL in the address": (swap(SITE, '"https://x\\0.example/"', CLINIC), "not-possible"),
    "the year 10000": (swap("reviewed: 2026-09-01", "reviewed: 10000-01-01"), "wrong-value"),
    "2,000 nested lists": (
        put(PAGE, HEAD + "".join("  " * n + "- x\n" for n in range(2000))),
        "file-too-large",
    ),
    "400 nested lists": (
        put(PAGE, HEAD + "".join("  " * n + "- x\n" for n in range(200))),
        "nested-too-deep",
    ),
    "2,000 nested quotations": (put(PAGE, HEAD + ">" * 2000 + " x\n"), "nested-too-deep"),
    "100,000 brackets in a page": (put(PAGE, HEAD + "[" * 90_000 + "\n"), "nested-too-deep"),
    "a page of 300,000 letters": (put(PAGE, HEAD + "word " * 60_000 + "\n"), "file-too-large"),
    "10,000 braces in a step": (swap("Lower your foot slowly.", '"' + "{" * 10_000 + '"'), "value-too-long"),
    "4,000 braces in a step": (swap("Lower your foot slowly.", '"' + "{" * 3_990 + '"'), "blank"),
    "60,000 keys": (put(MORE, "".join(f"key{n}: x\n" for n in range(60_000))), "too-many-items"),
    "60,000 times the same key": (put(MORE, "key: x\n" * 60_000), "too-many-items"),
    "900 unknown keys": (put(MORE, "".join(f"key{n}: x\n" for n in range(900))), "unknown-key"),
    "150,000 open brackets": (put(MORE, "[" * 150_000), "yaml-syntax"),
    "75,000 nested items": (put(MORE, "- " * 75_000), "nested-too-deep"),
    "75,000 nested keys": (put(MORE, "? " * 75_000), "nested-too-deep"),
    "a file of 1.2 MB": (put(MORE, "#" * 1_200_000), "file-too-large"),
    "a lock of 4 MB": (put("content/addresses.lock", "/a/ page\n" * 440_000), "cannot-read"),
    "a lock of 60,000 chained redirects": (
        put("content/addresses.lock", "".join(f"/a{n}/ redirect /a{n + 1}/\n" for n in range(30_000))),
        "redirect-leads-nowhere",
    ),
    "a folder for approved.lock": (instead("approved.lock", os.mkdir), "cannot-read"),
    "a pipe for approved.lock": (instead("approved.lock", os.mkfifo), "cannot-read"),
    "a pipe for addresses.lock": (instead("addresses.lock", os.mkfifo), "cannot-read"),
    "approvals of 4 MB": (put("content/approved.lock", "x\n" * 2_000_000), "lock-"),
    "NULs": (put(MORE, b"\0" * 1000), "yaml-syntax"),
    "UTF-16": (put(MORE, "code: kn-09".encode("utf-16")), "not-utf8"),
    "a key that is a list": (swap("title: ", "? [a, b]\n: c\ntitle: "), "key-not-a-word"),
}


@pytest.mark.parametrize("name", CASES)
def test_it_is_a_finding_and_quickly(clinic_folder: Path, call: Call, name: str) -> None:
    """Process time, so that a busy machine does not count; 2 seconds are the promise for any one file."""
    damage, code = CASES[name]
    damage(clinic_folder)
    begin = time.process_time()
    result = call("check")
    took = time.process_time() - begin
    assert result.exit_code == 1, result.output[-2000:]
    assert code in result.output
    assert "met something it did not expect" not in result.output
    assert took < 2.5
    assert call("build").exit_code == 1
    assert not (clinic_folder / "site").exists()


def test_a_folder_that_may_not_be_read_is_an_error_and_no_box_vanishes(
    clinic_folder: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rights do not stop the superuser tests run as, so the listing itself is refused."""
    real = os.scandir

    def refuse(path: str | Path = ".") -> object:
        if str(path).endswith("cautions"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", refuse)
    result = call("build")
    assert result.exit_code == 1
    assert "content/cautions" in result.output
    assert "[cannot-read]" in result.output


def test_reading_takes_twice_as_long_for_twice_as_much(clinic_folder: Path, call: Call) -> None:
    """No quadratic scan: doubling a text at its limit may not quadruple the time of reading it."""
    from limberleaf.library import load_library

    def took(count: int) -> float:
        text = "code: kn-09\nsteps:\n" + "".join(f'  - "{"{affected} " * 300}"\n' for _ in range(count))
        (clinic_folder / MORE).write_text(text, "utf-8")
        begin = time.process_time()
        load_library(clinic_folder / "content")
        return time.process_time() - begin

    took(1)
    small, large = (min(took(count) for _ in range(3)) for count in (40, 160))
    assert large < 10 * small + 0.2  # four times as much: quadratic would be sixteen


def test_the_guard_turns_what_nobody_expected_into_a_report(
    clinic_folder: Path, call: Call, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert call("build").exit_code == 0
    before = tree(clinic_folder / "site")
    swap("Lower your foot slowly.", "Lower your foot with care.")(clinic_folder)
    record(clinic_folder / "content")
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr(
        "limberleaf.publish.compose.site_pages", lambda *_: (_ for _ in ()).throw(KeyError("nobody knew"))
    )
    result = call("build")
    assert result.exit_code == 3
    assert "limberleaf 0." in result.output
    assert "KeyError: 'nobody knew'" in result.output
    assert "compose.py, line" in result.output
    assert "Traceback" not in result.output
    (report,) = tmp_path.glob("limberleaf-report-*.txt")
    assert str(report) in result.output
    assert "Traceback" in report.read_text("utf-8")
    assert tree(clinic_folder / "site") == before
