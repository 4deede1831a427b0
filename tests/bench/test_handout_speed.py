"""Speed and memory of handouts with their figures drawn and their fit known: at least 30 sheets a second on two cores.

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
from pathlib import Path
from limberleaf.handouts import Choice, Typesetter, exercise_handout
from limberleaf.library import load_library
from handouts.conftest import edition_of

edition = edition_of(load_library(Path({root!r}) / "content"))
sheets = [
    exercise_handout(edition, Choice(code, side))
    for code, exercise in edition.exercises.items()
    for side in ((None, "left", "right") if exercise.sides == "one" else (None,))
]

typesetter = Typesetter()
times = []
for _ in range(3):  # a round is longer than what typst remembers: only the fits are known the second time
    begun = time.process_time()
    for handout in sheets:
        typesetter.pdf(handout)
    times.append((time.process_time() - begun) / len(sheets))
for number in range({count} - 3 * len(sheets)):
    typesetter.pdf(sheets[number % len(sheets)])
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(json.dumps({{"cold": times[0], "seconds": min(times[1:]), "megabytes": peak}}))
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
