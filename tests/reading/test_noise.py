"""The noise bar: flags on general health prose that was not written to please the rules."""

from collections import Counter
from pathlib import Path

from limberleaf.reading import Block, read

PROSE = Path(__file__).parent / "prose"


def test_flags_on_general_health_prose_stay_under_the_bar() -> None:
    """At most 5 errors and 20 flags in all per 1,000 words."""
    levels: Counter[str] = Counter()
    words = 0
    for path in sorted(PROSE.glob("*.txt")):
        lines = path.read_text(encoding="utf-8").splitlines()
        reading = read([Block("prose", line) for line in lines if line.strip()])
        words += reading.counts.all.words
        levels.update(mark.level for mark in reading.marks)
    assert words > 2000
    assert 1000 * levels["error"] / words <= 5
    assert 1000 * levels.total() / words <= 20
