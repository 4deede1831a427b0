"""Speed of the reading engine: all measures and rules over an entry of 2 kB, warm, and the import.

Processor time is taken, not time on the clock, so that other work on the machine does not count.
"""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from limberleaf.reading import Block, read

PROSE = Path(__file__).parents[1] / "reading/prose"
STEPS = [
    "Sit on a firm chair.",
    "Put both feet flat on the floor.",
    "Lift your sore foot until the knee is almost straight.",
    "Hold while you count to 3.",
    "Lower the foot slowly.",
]


def _entry() -> list[Block]:
    """An entry of about 2 kB: prose, bullets, steps, dose and cautions."""
    lines = (PROSE / "osteoarthritis.txt").read_text(encoding="utf-8").splitlines()
    blocks = [Block("heading", "Straighten your knee in sitting"), *(Block("prose", line) for line in lines)]
    blocks += [Block("step", step) for step in STEPS]
    blocks += [
        Block("dose", "3 sets of 8 to 12, hold 3 seconds, rest 60 seconds, 3 days a week."),
        Block("bullet", "Your thigh works hard and may shake."),
        Block("bullet", "Knee pain goes above 3 out of 10, or lasts more than 24 hours."),
        Block(
            "caution",
            "Stop and call us if the knee locks or gives way, or if you get a sharp pain that stays.",
        ),
        Block(
            "bullet",
            "The pain is worse the next morning, or your knee is more swollen than it was before you began.",
        ),
        Block("bullet", "You can sit with both feet on the floor, and get up from a chair without help."),
        Block("caution", "Call 999 if you have chest pain, cannot catch your breath, or feel faint."),
    ]
    return blocks


def test_the_entry_is_about_two_kilobytes() -> None:
    assert 1900 <= sum(len(block.text) for block in _entry()) <= 2300


@pytest.mark.benchmark(timer=time.process_time)
def test_read_an_entry(benchmark) -> None:
    """Bar: median under 3 ms."""
    blocks = _entry()
    read(blocks)
    benchmark(read, blocks)
    if benchmark.enabled:
        assert benchmark.stats.stats.median < 0.003


def test_import(benchmark) -> None:
    """Bar: under 0.3 s for the import itself, read inside the fresh interpreter."""
    code = "import time; t = time.process_time(); import limberleaf.reading; print(time.process_time() - t)"

    def start() -> float:
        found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        return float(found.stdout)

    seconds = benchmark.pedantic(start, rounds=3, iterations=1)
    benchmark.extra_info["import_seconds"] = seconds
    assert seconds < 0.3
