"""What a command says of itself: examples that it takes, exit codes, JSON for scripts, the manual page."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from conftest import ROOT

from limberleaf.cli import COMMANDS, main
from limberleaf.commands.examples import EXAMPLES
from limberleaf.guide.site import topics
from limberleaf.make_manual import FILE, manual


def commands() -> Iterator[tuple[str, click.Command]]:
    for name in sorted(COMMANDS):
        command = main.get_command(click.Context(main), name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            yield from ((f"{name} {inner}", one) for inner, one in command.commands.items())


EVERY = dict(commands())


def test_examples_are_of_commands_that_exist_and_none_is_without() -> None:
    assert set(EXAMPLES) == set(EVERY)


@pytest.mark.parametrize("way", sorted(EVERY))
def test_help_ends_with_examples_and_exit_codes(way: str) -> None:
    shown = CliRunner().invoke(main, [*way.split(), "--help"], terminal_width=200).output
    for line in EXAMPLES[way]:
        assert f"  {line}\n" in shown, "each on a line of its own, to copy"
    assert re.search(r"Exit codes: 0 .+, 1 .+, 2 a wrong call", shown)


@pytest.mark.parametrize("line", sorted({line for lines in EXAMPLES.values() for line in lines}))
def test_every_example_is_a_call_the_program_takes(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The words are taken apart as the program does it; files they name are there, nothing is run."""
    monkeypatch.chdir(tmp_path)
    words = shlex.split(line)[1:]
    for word in words:
        if "." in Path(word).name and not word.startswith("-"):
            Path(word).parent.mkdir(parents=True, exist_ok=True)
            Path(word).touch()
    command: click.Command = main
    context = click.Context(main, info_name="limberleaf")
    while isinstance(command, click.Group):
        inner = command.get_command(context, words.pop(0))
        assert inner is not None
        command, context = inner, click.Context(inner, context, info_name=inner.name)
    command.parse_args(context, words)


JSON = {"ask count", "ask show", "check", "doctor", "guide", "links", "plan read", "pose", "review", "table in",
        "translate in", "translate status"}  # fmt: skip


def test_the_guide_lists_every_command_that_speaks_json() -> None:
    speaks = {
        way
        for way, command in EVERY.items()
        for option in command.params
        if "--format" in option.opts
        and isinstance(option.type, click.Choice)
        and "json" in option.type.choices
    }
    assert speaks == JSON
    page = topics()["commands"]
    assert [way for way in JSON if f"`{way}`" not in page] == []


@pytest.mark.parametrize("call", ["review --due 30y", "links", "pose kn-01", "check", "ask show"])
def test_json_is_json_and_holds_what_the_text_says(call: str, content: Path) -> None:
    done = CliRunner().invoke(main, [*call.split(), "--format", "json", "--content", str(content)])
    assert done.exit_code == 0, done.output
    facts = json.loads(done.stdout)
    if call == "links":
        assert {"https://exercises.example.org/kn-01/left/"} <= {row["address"] for row in facts}
    if call.startswith("review"):
        assert {row["name"] for row in facts} >= {"kn-01", "kn-02"}
    if call.startswith("pose"):
        assert [pose["posture"] for pose in facts["poses"]]
        assert all(abs(contact["error"]) < 0.1 for pose in facts["poses"] for contact in pose["contacts"])


def test_a_plan_reads_as_json(content: Path) -> None:
    runner = CliRunner()
    made = runner.invoke(main, ["plan", "make", "kn-01:left", "--weeks", "4", "--content", str(content)])
    link = made.stdout.strip().splitlines()[-1]
    read = runner.invoke(main, ["plan", "read", link, "--format", "json", "--content", str(content)])
    plan = json.loads(read.stdout)
    assert (plan["weeks"], plan["picks"][0]["code"], plan["picks"][0]["side"]) == (4, "kn-01", "left")


def test_the_manual_page_that_is_shipped_has_every_command_and_option() -> None:
    shipped = FILE.read_text("utf-8")
    assert "generator/man/limberleaf.1" in (ROOT / "pyproject.toml").read_text("utf-8")
    again = "run `python -m limberleaf.make_manual`"
    for way, command in EVERY.items():
        assert f".SS limberleaf {way}\n" in shipped, again
        part = shipped.partition(f".SS limberleaf {way}\n")[2].partition("\n.SS ")[0]
        options = [one for option in command.params for one in option.opts if one.startswith("--")]
        assert [one for one in options if one.replace("-", r"\-") not in part] == [], again


def test_the_manual_page_is_plain_roff() -> None:
    """Only requests that man(7) has, and no letter that needs an encoding: every reader of manual pages takes that."""
    page = manual()
    assert page.isascii()
    requests = set(re.findall(r"^[.'](\S+)", page, re.MULTILINE))
    assert requests <= {"TH", "SH", "SS", "PP", "TP", "B", "BR", "nf", "fi"}
    assert page.count("\n.nf\n") == page.count("\n.fi\n") == len(EVERY)
    escapes = re.findall(r"\\(\[u[0-9A-F]{4}\]|f[BIR]|.)", page)
    assert {one for one in escapes if not one.startswith("[")} <= {"fB", "fI", "fR", "-", "e", "&"}
