"""The guide's task pages: every command and option they show exists and every link leads somewhere."""

from __future__ import annotations

import json
import re
from pathlib import Path

import click
import html5lib
import pytest
from click.testing import CliRunner

from limberleaf.cli import COMMANDS, main
from limberleaf.guide.site import CHANGES, site_files, topics
from limberleaf.library.guide import find_keys, keys
from limberleaf.library.schemas import SCHEMAS


def calls() -> list[tuple[str, list[str]]]:
    found = []
    for name, text in topics().items():
        if name == CHANGES:
            continue  # it names what is gone
        spans = re.findall(r"`(limberleaf [^`\n]+)`", text)
        blocks = [
            line for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) for line in block.splitlines()
        ]
        found += [
            (name, call.split()[1:])
            for call in [*spans, *(one for one in blocks if one.startswith("limberleaf "))]
        ]
    return found


@pytest.mark.parametrize(
    ("page", "call"), calls(), ids=lambda value: value if isinstance(value, str) else " ".join(value)
)
def test_every_call_in_the_guide_is_one_the_program_takes(page: str, call: list[str]) -> None:
    command: click.Command = main
    rest = list(call)
    while isinstance(command, click.Group) and rest and not rest[0].startswith("-"):
        inner = command.get_command(click.Context(command), rest.pop(0))
        assert inner is not None, (page, call)
        command = inner
    known = {name for option in command.params for name in option.opts} | {"--help", "--version"}
    assert [word for word in rest if word.startswith("--") and word not in known] == [], page
    if call[0] == "guide" and len(call) > 1 and not call[1].startswith("-"):
        assert call[1] in topics() or find_keys(call[1]), page


def test_options_named_alone_belong_to_the_command_of_their_page() -> None:
    """On the pages about printing and reviews, options stand without their command."""
    for page, name in (("print", "handout"), ("review", "review")):
        command = main.get_command(click.Context(main), name)
        assert command is not None
        known = {one for option in command.params for one in option.opts}
        named = re.findall(r"`(--[a-z-]+)", topics()[page])
        assert named
        assert [one for one in named if one not in known] == []


def test_the_site_of_the_guide_is_whole(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["guide", "--site", str(tmp_path / "guide")], catch_exceptions=False)
    assert done.exit_code == 0
    files = {path.name for path in (tmp_path / "guide").iterdir()}
    assert {f"{name}.html" for name in topics()} | {f"keys-{kind}.html" for kind in SCHEMAS} <= files
    pages = site_files()
    ids = {name: set(re.findall(r' id="([^"]+)"', text)) for name, text in pages.items()}
    for name, text in pages.items():
        if not name.endswith(".html"):
            continue
        html5lib.HTMLParser(strict=True).parse(text)
        assert "<script" not in text
        assert text.count("<h1>") == 1
        targets = re.findall(r'(?:href|src)="([^"]+)"', text)
        for target in targets:
            file, _, anchor = target.partition("#")
            assert file in files, (name, target)
            assert not anchor or anchor in ids[file], (name, target)


def test_every_key_stands_on_its_kinds_page() -> None:
    files = site_files()
    for kind in SCHEMAS:
        for key in keys(kind):
            assert f">{key.path}</code>" in files[f"keys-{kind}.html"]


def test_a_task_is_shown_in_the_terminal_and_listed() -> None:
    shown = CliRunner().invoke(main, ["guide", "publish"]).output
    assert shown == topics()["publish"]
    listed = CliRunner().invoke(main, ["guide"]).output
    assert [name for name in topics() if name not in listed] == []


def test_doctor_says_what_is_there_and_what_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(main, ["doctor", "--format", "json"], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    lines = {line["what"]: line for line in json.loads(done.output)}
    assert lines["packages"]["state"] == "ok"
    assert lines["library"]["state"] == "optional"
    monkeypatch.setenv("PATH", str(tmp_path))
    again = {
        line["what"]: line
        for line in json.loads(CliRunner().invoke(main, ["doctor", "--format", "json"]).output)
    }
    assert again["git"]["state"] == "optional"
    assert "Install Git" in again["git"]["way_out"]


def test_the_guide_names_every_exit_code_the_program_uses() -> None:
    text = topics()["commands"]
    assert all(f"{code} " in text for code in (0, 1, 2, 3))
    assert "doctor" in COMMANDS
