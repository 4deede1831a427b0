"""The band holds the grade of the whole text about four times in five, for samples of every size.

Texts: leaflets of our own (`corpus/`). The widths in `headline.yml` were measured on every other leaflet; the others
prove them here. What the grade of the whole text is worth against readers is another matter, and is not proved by this.
"""

from collections.abc import Iterator
from pathlib import Path

from limberleaf.reading import Block, Headline, read

SIZES = (110, 150, 200, 300, 450)
UNSEEN = sorted((Path(__file__).parent / "corpus").glob("*.txt"))[1::2]


def _windows(size: int) -> Iterator[tuple[Headline, float]]:
    """Headlines of windows of running sentences of about `size` words, with the middle of the whole text's parts."""
    for path in UNSEEN:
        lines = [
            line for line in path.read_text(encoding="utf-8").splitlines() if line.endswith((".", "?", "!"))
        ]
        whole = read([Block("prose", line) for line in lines])
        parts = whole.headline.parts
        sentences = [whole.blocks[s.block].text[s.start : s.end] for s in whole.sentences]
        start = 0
        while start < len(sentences):
            end, words = start, 0
            while end < len(sentences) and words < size:
                words += len(sentences[end].split())
                end += 1
            if words < size:
                break
            yield (
                read([Block("prose", text) for text in sentences[start:end]]).headline,
                sum(parts.values()) / 4,
            )
            start = end


def test_a_band_holds_the_grade_of_its_whole_text() -> None:
    """Stated coverage 80 %; whole grades widen it a little. Misses on both sides are nearly alike."""
    held = below = above = windows = 0
    for size in SIZES:
        graded = [(headline.grade, grade) for headline, grade in _windows(size) if headline.grade]
        inside = sum(low <= grade <= high for (low, high), grade in graded)
        assert inside / len(graded) >= 0.75, size
        held += inside
        below += sum(grade < low for (low, _), grade in graded)
        above += sum(grade > high for (_, high), grade in graded)
        windows += len(graded)
    assert windows >= 150
    assert 0.78 <= held / windows <= 0.92
    assert abs(below - above) / windows <= 0.10


def test_one_endless_sentence_has_no_grade() -> None:
    headline = read([Block("prose", "walk on and " * 50 + "rest.")]).headline
    assert headline.grade is None
    assert headline.text.startswith("Too short to grade: 151 words in 1 sentence")
    assert "in 5 sentences" in headline.text
