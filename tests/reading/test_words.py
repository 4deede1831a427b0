"""What a clinic says about words: own counts, explained terms, names, preferred words, easy lists, abbreviations."""

import pytest

from limberleaf.reading import Block, WordChoices, read, why

TERM = "Your sciatica eases with walking. Sciatica may last for weeks, and rest does not cure sciatica."


def _rules(text: str, words: WordChoices, kind: str = "prose") -> list[str]:
    return [mark.rule for mark in read([Block(kind, text)], words=words).marks]  # type: ignore[arg-type]


def test_a_clinics_own_count_wins() -> None:
    assert why("Quillmere").count == 2
    assert why("Quillmere", WordChoices(syllables={"quillmere": 3})).count == 3
    assert why("Quillmere", WordChoices(syllables={"quillmere": 3})).route == "own"


def test_an_explained_term_is_neither_hard_nor_unexplained() -> None:
    assert "explain-term" in _rules(TERM, WordChoices())
    choices = WordChoices(explained={"sciatica": "pain along the nerve down the leg"})
    assert "explain-term" not in _rules(TERM, choices)
    assert "hard-word" not in _rules(TERM, choices)


def test_scores_are_given_with_and_without_explained_terms() -> None:
    choices = WordChoices(explained={"sciatica": "pain along the nerve down the leg"})
    reading = read([Block("prose", TERM)], words=choices)
    assert reading.without_terms is not None
    assert reading.without_terms.terms == ("sciatica",)
    assert reading.counts.prose.words - reading.without_terms.counts.prose.words == 3
    assert reading.without_terms.measures["smog"] < reading.measures["smog"]
    assert reading.without_terms.counts.prose.sentences == reading.counts.prose.sentences


def test_a_term_explained_in_the_text_itself_counts_as_explained() -> None:
    text = "Sciatica is pain along the nerve down the leg. Sciatica often goes by itself."
    reading = read([Block("prose", text)])
    assert reading.without_terms is not None
    assert reading.without_terms.terms == ("sciatica",)


def test_names_are_left_out_of_the_second_score() -> None:
    words = WordChoices(names=frozenset({"Quillmere Community Physiotherapy"}))
    reading = read([Block("prose", "Call Quillmere Community Physiotherapy.")], words=words)
    assert reading.without_terms is not None
    assert reading.without_terms.counts.prose.words == 1


def test_without_terms_or_names_there_is_no_second_score() -> None:
    assert read([Block("prose", "Bend your knee.")]).without_terms is None


def test_a_preferred_word_is_offered() -> None:
    words = WordChoices(preferred={"physical therapist": "physiotherapist"})
    (mark,) = [
        mark
        for mark in read([Block("prose", "Ask your physical therapist.")], words=words).marks
        if mark.rule == "jargon"
    ]
    assert mark.replacement == "physiotherapist"


def test_a_known_abbreviation_is_not_flagged() -> None:
    assert "abbreviation" in _rules("Ring the MSK team.", WordChoices())
    assert "abbreviation" not in _rules(
        "Ring the MSK team.", WordChoices(abbreviations={"MSK": "muscle and joint"})
    )


def test_an_easy_word_of_the_clinic_joins_the_list() -> None:
    text = "The bolster is soft."
    base = read([Block("prose", text)]).counts.prose.hard_words
    assert (
        read([Block("prose", text)], words=WordChoices(easy=frozenset({"bolster"}))).counts.prose.hard_words
        == base - 1
    )


def test_the_clinics_spelling_decides_which_kind_is_flagged() -> None:
    text = "The center of your foot."
    assert "mixed-spelling" not in _rules(text, WordChoices())
    assert "mixed-spelling" in _rules(text, WordChoices(spelling="uk"))
    assert "mixed-spelling" not in _rules(text, WordChoices(spelling="us"))


@pytest.mark.parametrize("written", ["fi\u00adbre", "\ufb01bre", "fi bre"])
def test_a_word_that_a_copied_text_parts_or_joins_is_compared_by_its_spelling(written: str) -> None:
    """A soft hyphen, a joined letter, and the space that a copied PDF leaves at one."""
    blocks = [Block("prose", f"Eat {written} each day. The center has a theater in color.")]
    (mark,) = [mark for mark in read(blocks).marks if mark.rule == "mixed-spelling"]
    assert mark.replacement == "fiber"
    assert blocks[0].text[mark.start : mark.end] == written


@pytest.mark.parametrize(
    ("word", "count", "route"),
    [
        ("physiotherapist", 6, "clinical"),
        ("people", 2, "rules"),
        ("business", 2, "table"),
        ("businesses", 3, "inflection"),
        ("MRI", 3, "table"),
        ("MSK", 3, "letters"),
        ("STOP", 1, "rules"),
        ("U.S.", 2, "letters"),
        ("TVs", 2, "letters"),
        ("hip-width", 2, "parts"),
        ("17", 3, "number"),
        ("104", 4, "number"),
        ("naïve", 2, "rules"),
        ("café", 2, "rules"),
        ("nurse's", 2, "rules"),
        ("knee's", 1, "rules"),
    ],
)
def test_why_tells_the_route(word: str, count: int, route: str) -> None:
    found = why(word)
    assert (found.count, found.route) == (count, route), found.reason
    assert found.reason
