"""The commands of `limberleaf`. Each is in its own file of generator/commands and is imported when it is used.

Starting the program must stay quick, so nothing here imports MkDocs, the drawing or the handouts.
"""

from __future__ import annotations

import gc
from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

from limberleaf import guard
from limberleaf.commands.examples import dress

COMMANDS: Mapping[str, str] = {
    "ask": "Ask people what they see in the figures, and count how many see what is meant.",
    "build": "Build the library's site into a folder, swapped in when all went well.",
    "check": "Check all entries and print what needs fixing.",
    "desk": "Write, pose, read and approve entries in the browser; see what is hard to read, changed or due.",
    "doctor": "Say what this machine has and what is missing.",
    "draw": "Write figures as SVG, PNG or moving pictures, or all of them on one sheet.",
    "guide": "Say how something is done and what every key means, in the terminal or as pages.",
    "handout": "Write handouts as PDF: exercises, ladders, collections, plans.",
    "import": "Read a handout in Word or HTML into a draft entry.",
    "init": "Start a clinic's own library in a new folder.",
    "links": "List every address with its title, as text, CSV or a desk sheet with QR codes.",
    "new": "Write a commented starter entry.",
    "plan": "Make a plan as a link, or say what is in one.",
    "pose": "Print what the solver did with the poses of a figure.",
    "review": "List what is due for review, or record what was approved.",
    "schema": "Write the JSON Schemas that editors complete and check entries with.",
    "serve": "Preview the site; it follows every change.",
    "table": "Take the exercises out as a spreadsheet, and bring a changed one back.",
    "translate": "Write texts for translators (XLIFF, PO), bring their work back, show how far each language is.",
}
"""Every command and its one line of help."""

FILES: Mapping[str, str] = {
    "ask": "review.ask",
    "build": "publish.build",
    "check": "review.check",
    "desk": "desk",
    "doctor": "doctor",
    "draw": "figures.draw",
    "guide": "guide",
    "handout": "publish.handout",
    "import": "entries.import_handout",
    "init": "entries.init",
    "links": "publish.links",
    "new": "entries.new",
    "plan": "publish.plan",
    "pose": "figures.pose",
    "review": "review.review",
    "schema": "entries.schema",
    "serve": "publish.serve",
    "table": "entries.table",
    "translate": "entries.translate",
}
"""The file of each command, below generator/commands."""


UNCOLLECTED = 100_000
"""New objects after which Python looks for cycles; after 700, as it does by itself, it costs a third of reading."""


class CommandGroup(click.Group):
    """Commands by name, each loaded from its module when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the commands in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command; None when there is none of this name."""
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"limberleaf.commands.{FILES[cmd_name]}")
        command: click.Command = module.command
        return dress(command, cmd_name)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; what nobody expected becomes a report and exit code 3, never a traceback."""
        guard.end_like_ctrl_c()
        gc.set_threshold(UNCOLLECTED)
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort, BrokenPipeError):
            raise
        except Exception as error:
            if guard.is_expected(error):
                raise click.ClickException(guard.in_words(error)) from None
            click.echo(f"Error: {guard.failure_report(error)}", err=True)
            raise click.exceptions.Exit(guard.UNEXPECTED) from None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))


@click.group(cls=CommandGroup)
@click.version_option(package_name="limberleaf", prog_name="limberleaf")
def main() -> None:
    """Turn a folder of exercise entries into a clinic's library: pages, figures, checks, handouts and links."""
