"""Each language's measures tell a hard wording from a plain one of the same thing (`pairs/`, 60 pairs a language)."""

from pathlib import Path

import pytest

from limberleaf.reading import Block, languages, read

PAIRS = Path(__file__).parent / "pairs"
HIGHER_IS_EASIER = {
    "flesch_douma", "brouwer", "amstad", "szigriszt_pazos", "fernandez_huerta", "kandel_moles", "gulpease",
}  # fmt: skip
CASES = [(lang, name) for lang in ("nl", "de", "es", "fr", "it") for name in languages()[lang].measures]


def _parts(lang: str) -> list[list[tuple[str, str]]]:
    """Pairs that differ in length and words, and pairs that differ in words only."""
    found = []
    for part in (PAIRS / f"{lang}.txt").read_text(encoding="utf-8").split("# words only\n"):
        rows = [line.split(" | ") for line in part.splitlines() if line]
        found.append([(hard, plain) for hard, plain in rows])
    return found


@pytest.mark.parametrize(("lang", "name"), CASES)
def test_a_measure_puts_the_plain_wording_below_the_hard_one(lang: str, name: str) -> None:
    """Bar: 95 % of the pairs, and of those that differ only in their words."""
    for pairs in _parts(lang):
        right = 0
        for pair in pairs:
            hard, plain = (read([Block("prose", text)], lang=lang).measures[name] for text in pair)
            right += plain > hard if name in HIGHER_IS_EASIER else plain < hard
        assert right / len(pairs) >= 0.95


@pytest.mark.parametrize("lang", sorted({lang for lang, _ in CASES}))
def test_there_are_sixty_different_pairs(lang: str) -> None:
    pairs = [pair for part in _parts(lang) for pair in part]
    assert len(set(pairs)) == len(pairs) >= 60


@pytest.mark.parametrize("lang", sorted({lang for lang, _ in CASES}))
def test_the_headline_tells_plain_leaflets_from_hard_ones(lang: str) -> None:
    """All plain wordings as one text read as easy, all hard ones as hard, on the published scale of the language."""
    hard, plain = ([pair[side] for part in _parts(lang) for pair in part] for side in (0, 1))
    levels = [row["words"] for row in languages()[lang].scale["bands"]]
    easy_level, hard_level = (
        read([Block("prose", text) for text in texts], lang=lang).headline.level for texts in (plain, hard)
    )
    assert levels.index(easy_level) <= 1
    assert levels.index(hard_level) >= len(levels) - 2


@pytest.mark.parametrize(("lang", "name"), [("ar", "Arabic"), ("ru", "Russian")])
def test_a_language_without_a_trusted_formula_says_so(lang: str, name: str) -> None:
    text = {"ar": "اجلس على كرسي ثابت. ارفع قدمك ببطء.", "ru": "Сядьте на стул. Медленно поднимите ногу."}[
        lang
    ]
    reading = read([Block("prose", text)], lang=lang)
    assert reading.measures == {}
    assert reading.headline.text.startswith(f"No reading formula for {name} is trusted; ")
    assert languages()[lang].note
