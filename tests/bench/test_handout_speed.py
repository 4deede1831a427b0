"""Speed and memory of handouts with their figures drawn: at least 30 sheets a second on two cores.

Two processes set sheets side by side (`set_all`), so a sheet may cost a fifteenth of a second of processor time.
Processor time is taken, not time on the clock, so that other work on the machine does not count. The memory bound is
for a thousand sheets one after another.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

PROGRAM = """
import json, resource, sys, time
sys.path[:0] = [{root!r}, {tests!r}]
from dataclasses import replace
from pathlib import Path
from generator.handouts import Choice, Typesetter, exercise_handout
from generator.library import load_library
from handouts.conftest import edition_of

edition = edition_of(load_library(Path({root!r}) / "content"))
sheets = [
    exercise_handout(edition, Choice(code, side))
    for code, exercise in edition.exercises.items()
    for side in ((None, "left", "right") if exercise.sides == "one" else (None,))
]

def differing(count):
    "As many sheets as asked for, no two alike, so that nothing typst keeps can help."
    for number in range(count):
        handout = sheets[number % len(sheets)]
        sheet = dict(handout.data["sheet"])
        sheet["aim"] = f"{{sheet['aim']}} ({{number}})" if isinstance(sheet["aim"], str) else sheet["aim"]
        yield replace(handout, data={{**handout.data, "sheet": sheet}})

typesetter = Typesetter()
for handout in differing(3):
    typesetter.pdf(handout)
best = 9.0
for handouts in (list(differing(60)) for _ in range(2)):
    begun = time.process_time()
    for handout in handouts:
        typesetter.pdf(handout)
    best = min(best, (time.process_time() - begun) / len(handouts))
for handout in differing({count}):
    typesetter.pdf(handout)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(json.dumps({{"seconds": best, "megabytes": peak}}))
"""


@pytest.fixture(scope="module")
def measured() -> dict[str, float]:
    program = PROGRAM.format(root=str(ROOT), tests=str(ROOT / "tests"), count=1000)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    result: dict[str, float] = json.loads(done.stdout)
    return result


def test_two_cores_set_thirty_sheets_a_second(measured: dict[str, float]) -> None:
    assert 2 / measured["seconds"] >= 30, measured


def test_a_thousand_sheets_stay_below_500_megabytes(measured: dict[str, float]) -> None:
    assert measured["megabytes"] < 500, measured
