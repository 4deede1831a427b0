"""The manual page (man(7)), made from the commands themselves: `python -m limberleaf.make_manual`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click

import limberleaf
from limberleaf.commands.examples import EXAMPLES, EXIT, EXITS

FILE = Path(limberleaf.__path__[0]) / "man" / "limberleaf.1"
"""Where the page lies in the package; pyproject.toml puts it into share/man/man1."""


def manual() -> str:
    """Give the page; the same for the same commands, on whatever day it is made."""
    from limberleaf.cli import COMMANDS, main

    return "\n".join([*_head(), *_commands(main, tuple(sorted(COMMANDS))), *_foot()]) + "\n"


def _head() -> Iterator[str]:
    yield '.TH LIMBERLEAF 1 "" "Limberleaf" "User Commands"'
    yield ".SH NAME"
    yield r"limberleaf \- turn a folder of exercise entries into a clinic's library"
    yield ".SH SYNOPSIS"
    yield ".B limberleaf"
    yield r"\fICOMMAND\fR [\fIOPTIONS\fR] [\fIARGUMENTS\fR]"
    yield ".SH DESCRIPTION"
    yield "Pages, figures, checks, handouts and links from plain files. Run it in the folder that holds"
    yield ".BR content ."
    yield r"\fBlimberleaf guide\fR tells how each task is done."
    yield ".SH COMMANDS"


def _commands(main: click.Group, names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        command = main.get_command(click.Context(main), name)
        if command is not None:
            yield from _command(command, name)


def _command(command: click.Command, way: str) -> Iterator[str]:
    context = click.Context(command, info_name=f"limberleaf {way}")
    yield f".SS limberleaf {way}"
    yield ".B " + _plain(command.get_usage(context).removeprefix("Usage: "))
    for paragraph in re.split(r"\n\s*\n", (command.help or "").strip()):
        yield ".PP"
        yield _plain(paragraph)
    for parameter in command.get_params(context):
        record = parameter.get_help_record(context)
        if record and record[1] and "--help" not in record[0]:
            yield ".TP"
            yield rf"\fB{_plain(record[0])}\fR"
            yield _plain(record[1])
    examples = EXAMPLES.get(way, ())
    if examples:
        yield ".PP"
        yield "Examples:"
        yield ".nf"
        yield from (f"    {_plain(line)}" for line in examples)
        yield ".fi"
    yield ".PP"
    yield f"Exit codes: {_plain(EXITS.get(way, EXIT))}."
    if isinstance(command, click.Group):
        for name in sorted(command.commands):
            yield from _command(command.commands[name], f"{way} {name}")


def _foot() -> Iterator[str]:
    yield ".SH EXIT STATUS"
    for code, meaning in (
        ("0", "all went well"),
        ("1", "findings that stop the work, or a refusal that says what to do"),
        ("2", "a wrong call"),
        ("3", "something nobody expected; a report says where"),
        ("130, 143", "stopped from outside"),
    ):
        yield ".TP"
        yield rf"\fB{code}\fR"
        yield meaning
    yield ".SH FILES"
    yield ".TP"
    yield r"\fBcontent/\fR"
    yield "what a clinic writes"
    yield ".TP"
    yield r"\fB.limberleaf/\fR"
    yield "what is kept between runs; it can be deleted at any moment"


def _plain(text: str) -> str:
    """Write a text on one line so that roff reads none of it as a request or an escape."""
    line = " ".join(text.replace("\b", " ").split()).replace("\\", r"\e").replace("-", r"\-")
    line = "".join(sign if sign.isascii() else rf"\[u{ord(sign):04X}]" for sign in line)
    return rf"\&{line}" if line.startswith((".", "'")) else line


if __name__ == "__main__":
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(manual(), "utf-8")
