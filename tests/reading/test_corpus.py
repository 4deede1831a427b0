"""All rules over 20,000 words of health prose of our own: every mark of the word lists looked at, and the noise bar."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from limberleaf.reading import Block, Reading, read, rules

HERE = Path(__file__).parent
TEXTS = sorted([*(HERE / "corpus").glob("*.txt"), *(HERE / "prose").glob("*.txt")])
HITS = HERE / "corpus_hits.txt"
LISTS = {rule.id for rule in rules() if rule.check == "phrases"} | {
    "noun-from-verb",
    "the-patient",
    "noun-first",
}
WRITTEN_BADLY = {"official"}
"""Written so that an editor would have to fix it; it does not count for the noise bar."""


def _reading(path: Path) -> Reading:
    """A leaflet: a short line without a full stop is a heading."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line]
    return read([Block("prose" if line.endswith((".", "?", "!")) else "heading", line) for line in lines])


def _hits() -> Iterator[str]:
    """Each mark of a list as `file: rule: three words before [marked] three after -> replacement`."""
    for path in TEXTS:
        reading = _reading(path)
        for mark in reading.marks:
            if mark.rule in LISTS:
                text = reading.blocks[mark.block].text
                before = " ".join(text[: mark.start].split()[-3:])
                after = " ".join(text[mark.end :].split()[:3])
                advice = mark.suggestion if mark.replacement is None else mark.replacement
                yield f"{path.stem}: {mark.rule}: {before} [{text[mark.start : mark.end]}] {after} -> {advice}"


def test_the_corpus_is_large_enough() -> None:
    assert sum(_reading(path).counts.all.words for path in TEXTS) >= 20_000


def test_every_mark_of_the_word_lists_has_been_looked_at() -> None:
    """`corpus_hits.txt` was read line by line; a line that changes must be read again before it is put there."""
    assert list(_hits()) == HITS.read_text(encoding="utf-8").splitlines()


def test_marks_on_good_health_prose_stay_under_the_bar() -> None:
    """At most 10 marks and 3 errors in 1,000 words."""
    levels: Counter[str] = Counter()
    words = 0
    for path in TEXTS:
        if path.stem not in WRITTEN_BADLY:
            reading = _reading(path)
            words += reading.counts.all.words
            levels.update(mark.level for mark in reading.marks)
    assert 1000 * levels.total() / words <= 10
    assert 1000 * levels["error"] / words <= 3
