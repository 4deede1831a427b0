"""The shipped tables: fresh, with their notices, and in YAML 1.2."""

import re

from limberleaf.desk.read.tables import measure_labels
from limberleaf.reading import languages
from limberleaf.reading.build.easy import easy_words
from limberleaf.reading.build.words import ordinary
from limberleaf.reading.rules.model import rules
from limberleaf.reading.scores.measures import MEASURES
from limberleaf.reading.tables import DATA, load_words, load_yaml
from limberleaf.reading.words.lexicon import common_words, shipped_easy_words
from limberleaf.reading.words.syllables import by_rules, spelling_pairs


def test_the_easy_word_list_is_what_its_build_script_makes() -> None:
    assert shipped_easy_words() == easy_words()


def test_a_name_is_no_common_word_unless_it_is_listed_as_an_ordinary_word_too() -> None:
    is_ordinary = ordinary(["step", "Quillmere", "quillmere", "Rose", "rose", "Monday"])
    words = ("step", "step's", "rose", "monday", "quillmere", "quillmere's", "rose's", "unheard")
    assert [word for word in words if is_ordinary(word)] == ["step", "step's", "rose", "monday"]


def test_every_listed_word_that_is_also_a_name_is_in_the_table() -> None:
    assert load_words("also_names.txt") <= set(common_words())


def test_each_spelling_rule_counts_its_example() -> None:
    for row in load_yaml("syllable_rules.yml")["patterns"]:
        ((word, syllables),) = row["example"].items()
        assert by_rules(word) == syllables, row


def test_spelling_pairs_differ_and_none_is_both() -> None:
    pairs = spelling_pairs()
    assert pairs["colour"] == "color"
    assert all(british != american for british, american in pairs.items())
    assert not set(pairs) & set(pairs.values())


def test_notices_ship_with_the_derived_tables() -> None:
    notice = (DATA / "NOTICE.md").read_text(encoding="utf-8")
    assert "Carnegie Mellon University" in notice
    assert "Redistributions in binary form must reproduce" in notice
    assert "creativecommons.org/licenses/by-sa/4.0" in notice
    for name in ("words_en.txt", "easy_words_en.txt", "syllables_exceptions.txt"):
        assert "NOTICE.md" in (DATA / name).read_text(encoding="utf-8")[:600]
        assert name in notice


def test_words_such_as_on_and_no_stay_words() -> None:
    """YAML 1.2: only `true` and `false` are switches."""
    say = {
        row.get("say", "") for rule in rules() if rule.check == "phrases" for row in rule.settings["phrases"]
    }
    assert "on" in say
    assert all(isinstance(word, str) for word in say)
    assert "no" in load_yaml("languages.yml")


def test_every_measure_is_described_with_the_year_of_its_paper() -> None:
    names = {name for language in languages().values() for name in language.measures}
    described = measure_labels()
    assert names == set(MEASURES)
    assert names <= set(described)
    assert [name for name in names if not re.search(r"\b(19|20)\d\d\b", described[name][1])] == []
