"""`limberleaf doctor`: what this machine has and what is missing."""

from __future__ import annotations

import json
import os
import shutil
import sys
from dataclasses import asdict, dataclass
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

import click

from limberleaf.commands.shared import content_option


@dataclass(frozen=True)
class Line:
    """One thing that was looked at: `ok`, `optional` (something works less well) or `missing`."""

    what: str
    state: str
    found: str
    way_out: str = ""


@click.command(name="doctor")
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@content_option
def command(form: str, content: Path) -> None:
    """Say what this machine has, what is missing, and what to do about it. Nothing is changed or sent."""
    lines = [_python(), *_packages(), _git(), _folder(content), *_locks(content), _writable(content)]
    if form == "json":
        click.echo(json.dumps([asdict(line) for line in lines], indent=2, ensure_ascii=False))
    else:
        for line in lines:
            click.echo(f"{line.state:<8}  {line.what}: {line.found}")
            if line.way_out:
                click.echo(f"          {line.way_out}")
    if any(line.state == "missing" for line in lines):
        raise click.exceptions.Exit(1)


def _python() -> Line:
    found = ".".join(map(str, sys.version_info[:3]))
    return Line("Python", "ok", found)


def _packages() -> list[Line]:
    """Look at every package the program itself asks for; those of its extras are left out."""
    from packaging.requirements import Requirement

    lines = []
    for text in requires("limberleaf") or ():
        wanted = Requirement(text)
        if wanted.marker and not wanted.marker.evaluate({"extra": ""}):
            continue
        try:
            found = version(wanted.name)
        except PackageNotFoundError:
            lines.append(Line(wanted.name, "missing", "not installed", f'pip install "{wanted}"'))
            continue
        if not wanted.specifier.contains(found, prereleases=True):
            lines.append(
                Line(wanted.name, "missing", f"{found}, wanted {wanted.specifier}", f'pip install "{wanted}"')
            )
    return lines or [Line("packages", "ok", "all there")]


def _git() -> Line:
    found = shutil.which("git")
    if found:
        return Line("git", "ok", found)
    way = "Install Git: without it the desk shows no history and there is no way back to an earlier state."
    return Line("git", "optional", "not there", way)


def _folder(content: Path) -> Line:
    if (content / "clinic.yml").is_file():
        return Line("library", "ok", str(content))
    way = "Run this beside mkdocs.yml, name the folder with --content, or start one: limberleaf init our-library"
    return Line("library", "optional", f"no {content}/clinic.yml here", way)


def _locks(content: Path) -> list[Line]:
    if not content.is_dir():
        return []
    ways = {
        "addresses.lock": "limberleaf build --first begins it for a library that was never published.",
        "approved.lock": "limberleaf review --record begins it, once approvers are named in clinic.yml.",
    }
    return [
        Line(name, "ok", "there") if (content / name).is_file() else Line(name, "optional", "not there", way)
        for name, way in ways.items()
    ]


def _writable(content: Path) -> Line:
    folder = content.absolute().parent
    if folder.is_dir() and os.access(folder, os.W_OK):
        free = shutil.disk_usage(folder).free
        if free < 500_000_000:
            return Line(
                "disk", "missing", f"{free // 1_000_000} MB free", "Free some space: a build may need 500 MB."
            )
        return Line("disk", "ok", f"{free // 1_000_000_000} GB free")
    return Line("disk", "missing", f"{folder} cannot be written to", "Use a folder of your own.")
