"""Everything a change must pass, in one command: what the tests need, lint, types, tests.

Run it in the project's virtual environment: `.venv/bin/python tests/run.py`. Debian's Chromium is installed when it
is missing and the user is root; without it the browser tests fail, they are never skipped.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DENO = "tests/scripts/deno.json"
"""What lint and type checks ask of the page scripts; nothing of it goes to a page."""
DEBIAN = {"chromium-headless-shell": "chromium-headless-shell", "pdftoppm": "poppler-utils"}
"""Programs the tests drive, and the Debian packages they come in."""
INSTEAD = {"chromium-headless-shell": "chromium"}
"""What does as well but takes longer, for a machine that has it and cannot fetch the better."""


def main() -> int:
    """Run every step; give 0 when all passed."""
    os.chdir(ROOT)
    install_programs()
    os.environ["MYPYPATH"] = str(linked_package())
    os.environ["DENO_NO_UPDATE_CHECK"] = "1"
    here = Path(sys.executable).parent
    scripts = map(str, sorted(Path("generator").rglob("*.js")))
    aside = {
        "lint": [str(here / "ruff"), "check", "."],
        "format": [str(here / "ruff"), "format", "--check", "."],
        "types": [str(here / "mypy")],
        "page scripts, lint": [str(here / "deno"), "lint", "--config", DENO, "generator"],
        "desk scripts, format": [
            str(here / "deno"),
            "fmt",
            "--check",
            "--config",
            DENO,
            *map(str, sorted(Path("generator/desk").rglob("*.js"))),
        ],
        "page scripts, types": [
            str(here / "deno"),
            "check",
            "--config",
            DENO,
            "tests/scripts/pages.d.ts",
            *scripts,
        ],
    }
    tests = [
        sys.executable,
        "-m",
        "pytest",
        "-n",
        "2",
        "--dist",
        "loadfile",
        "--no-loadscope-reorder",
        "--durations=10",
        *sys.argv[1:],
    ]
    with ThreadPoolExecutor(max_workers=1) as beside:  # alone, types would leave one core idle for a minute
        found = {name: beside.submit(passed, name, command, quiet=True) for name, command in aside.items()}
        failed = [] if passed("tests", tests) else ["tests"]
    failed += [name for name, one in found.items() if not one.result()]
    if failed:
        print(f"Failed: {', '.join(failed)}.")
        return 1
    return 0


def install_programs() -> None:
    """Install what is missing with apt-get, as root; else say what to install."""
    missing = [program for program in DEBIAN if shutil.which(program) is None]
    apt = shutil.which("apt-get")
    if missing and apt and os.geteuid() == 0:
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        packages = [DEBIAN[program] for program in missing]
        subprocess.run([apt, "update", "-qq"], check=False, env=quiet)
        subprocess.run(
            [apt, "install", "-y", "-qq", "--no-install-recommends", *packages], check=False, env=quiet
        )
    lost = [
        DEBIAN[program]
        for program in missing
        if not any(map(shutil.which, (program, INSTEAD.get(program, program))))
    ]
    if lost:
        sys.exit(f"The tests need {' and '.join(lost)}: install them and run this again.")


def linked_package() -> Path:
    """Lay out links as the installed package lies: type checkers do not follow an editable install's mapping.

    Gives the folder that holds `limberleaf`, with everything of generator/ and, as `diagrams`, the folder diagrams/.
    """
    home = ROOT / ".mypy_cache" / "linked"
    package = home / "limberleaf"
    shutil.rmtree(home, ignore_errors=True)
    package.mkdir(parents=True)
    for entry in (ROOT / "generator").iterdir():
        (package / entry.name).symlink_to(entry)
    (package / "diagrams").symlink_to(ROOT / "diagrams")
    return home


def passed(name: str, command: list[str], *, quiet: bool = False) -> bool:
    """Run one step and say how it went; a `quiet` one says what it has to say when it failed."""
    if not quiet:
        print(f"--- {name}: {' '.join(command)}", flush=True)
    start = time.monotonic()
    done = subprocess.run(command, check=False, capture_output=quiet, text=True)
    verdict = "passed" if done.returncode == 0 else "failed"
    said = f"{' '.join(command)}\n{done.stdout}{done.stderr}" if quiet and done.returncode else ""
    print(f"\n--- {name} {verdict} after {time.monotonic() - start:.0f} s\n{said}", end="", flush=True)
    return done.returncode == 0


if __name__ == "__main__":
    raise SystemExit(main())
