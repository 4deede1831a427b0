"""Examples and exit codes of every command: what `--help` shows last, and the manual page.

A key is the way to a command: `table in`. Each example is a whole line that the program takes (tests/cli/test_help.py).
"""

from __future__ import annotations

from collections.abc import Mapping

import click

EXAMPLES: Mapping[str, tuple[str, ...]] = {
    "ask": (
        "limberleaf ask out asked-1 --seed 1 --people 12",
        "limberleaf ask rate asked-1/answers.xlsx",
        "limberleaf ask count rater-1.xlsx rater-2.xlsx --key asked-1/key/key.csv --keep",
    ),
    "ask out": ("limberleaf ask out asked-1 --seed 1 --people 12 --only kn-03",),
    "ask rate": ("limberleaf ask rate answers.xlsx --key asked-1/key/key.csv -o rating",),
    "ask count": (
        "limberleaf ask count rater-1.xlsx rater-2.xlsx --key asked-1/key/key.csv",
        "limberleaf ask count rater-1.xlsx rater-2.xlsx --key asked-1/key/key.csv --keep --format json",
    ),
    "ask show": ("limberleaf ask show", "limberleaf ask show --format json"),
    "build": (
        "limberleaf build",
        "limberleaf build --locked",
        "limberleaf build --plain --content south/content --site south-site",
        "limberleaf build --offline",
        "limberleaf build --explain kn-03",
    ),
    "check": (
        "limberleaf check",
        "limberleaf check --format json",
        "limberleaf check --write-baseline known.json",
        "limberleaf check --baseline known.json",
    ),
    "desk": ("limberleaf desk --open", "limberleaf desk --export overview.csv"),
    "doctor": ("limberleaf doctor", "limberleaf doctor --format json"),
    "draw": (
        "limberleaf draw kn-03",
        "limberleaf draw kn-03 --side left --style print --width 2000 -o pictures",
        "limberleaf draw kn-03 --motion webp",
        "limberleaf draw --sheet",
    ),
    "guide": (
        "limberleaf guide publish",
        "limberleaf guide dose.hold",
        "limberleaf guide exercise --format json",
        "limberleaf guide --site guide",
    ),
    "handout": (
        "limberleaf handout kn-03 --side left",
        "limberleaf handout kn-03 --large",
        "limberleaf handout --ladder knee-strength",
        "limberleaf handout --all --language nl -o handouts-nl",
    ),
    "import": (
        "limberleaf import heel-slide.docx --region knee",
        "limberleaf import leaflet.html --code hp-21 --region hip",
    ),
    "init": ("limberleaf init our-library",),
    "links": (
        "limberleaf links",
        "limberleaf links --format json --kind exercise",
        "limberleaf links --format pdf -o desk.pdf",
    ),
    "new": (
        "limberleaf new exercise kn-03",
        "limberleaf new ladder knee-strength",
    ),
    "plan": (
        "limberleaf plan make kn-03:left kn-05",
        "limberleaf plan read LINK",
    ),
    "plan make": ("limberleaf plan make kn-03:left kn-05:sets=2 --weeks 6",),
    "plan read": ("limberleaf plan read LINK", "limberleaf plan read LINK --format json"),
    "pose": ("limberleaf pose kn-03", "limberleaf pose kn-03 --format json"),
    "review": (
        "limberleaf review",
        "limberleaf review --due 6m --format json",
        "limberleaf review --format ics --output reviews.ics",
        'limberleaf review --record --as "Clinical lead" --only kn-03',
    ),
    "schema": ("limberleaf schema",),
    "serve": ("limberleaf serve",),
    "table": (
        "limberleaf table out exercises.xlsx",
        "limberleaf table in exercises.xlsx --dry-run",
    ),
    "table out": (
        "limberleaf table out exercises.xlsx",
        "limberleaf table out knees.csv --only kn-01 --only kn-02",
    ),
    "table in": (
        "limberleaf table in exercises.xlsx --dry-run",
        "limberleaf table in exercises.xlsx --format json",
    ),
    "translate": (
        "limberleaf translate status",
        "limberleaf translate out nl.xlf --to nl",
        "limberleaf translate in nl.xlf",
    ),
    "translate out": (
        "limberleaf translate out nl.xlf --to nl",
        "limberleaf translate out ar.po --to ar --only kn-03",
    ),
    "translate in": ("limberleaf translate in nl.xlf --dry-run", "limberleaf translate in nl.po"),
    "translate status": ("limberleaf translate status", "limberleaf translate status --format json"),
    "translate pseudo": ("limberleaf translate pseudo pseudo",),
}

EXITS: Mapping[str, str] = {
    "ask rate": "0 written, 1 a cell is wrong and nothing was written, 2 a wrong call",
    "ask count": "0 counted, 1 a table is wrong and nothing was counted, 2 a wrong call",
    "build": "0 the site is in place, 1 errors: nothing was changed, 2 a wrong call",
    "check": "0 no errors, 1 errors, 2 a wrong call",
    "doctor": "0 nothing is missing, 1 something is, 2 a wrong call",
    "import": "0 written, 1 the file cannot be read or a file is there already, 2 a wrong call",
    "table in": "0 written or nothing to write, 1 a cell is wrong and nothing was written, 2 a wrong call",
    "translate in": "0 written or nothing to write, 1 a text is wrong and nothing was written, 2 a wrong call",
}
EXIT = "0 all went well, 1 a refusal that says what to do, 2 a wrong call"
"""The codes of every other command; any may end with 3 when something nobody expected happened."""


def dress(command: click.Command, way: str) -> click.Command:
    """Put examples and exit codes at the end of a command's help, and of those below it."""
    lines = "\n".join(f"  {line}" for line in EXAMPLES.get(way, ()))
    command.epilog = f"\b\nExamples:\n{lines}\n\nExit codes: {EXITS.get(way, EXIT)}."
    if isinstance(command, click.Group):
        for name, inner in command.commands.items():
            dress(inner, f"{way} {name}")
    return command
