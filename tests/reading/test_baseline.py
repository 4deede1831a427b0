"""Fingerprints: an old library fails only on new marks."""

from limberleaf.reading import Block, fingerprints, new_marks, read

OLD = [Block("prose", "Utilise a chair. Rest."), Block("step", "Your foot should be lifted.")]


def test_a_text_has_nothing_new_against_its_own_baseline() -> None:
    reading = read(OLD)
    assert len(reading.marks) >= 2
    assert new_marks(reading, set(fingerprints(reading, "kn-03")), "kn-03") == ()


def test_moving_a_sentence_brings_no_mark_back() -> None:
    known = set(fingerprints(read(OLD), "kn-03"))
    moved = [Block("heading", "Chair"), OLD[1], Block("prose", "Sit down first.  Utilise a\nchair. Rest.")]
    assert new_marks(read(moved), known, "kn-03") == ()


def test_a_new_or_changed_sentence_is_new() -> None:
    known = set(fingerprints(read(OLD), "kn-03"))
    changed = [Block("prose", "Utilise a chair with arms. Rest."), OLD[1]]
    assert [mark.rule for mark in new_marks(read(changed), known, "kn-03")] == ["plain-words"]


def test_the_same_sentence_twice_is_one_more_mark() -> None:
    once, twice = read([OLD[1]]), read([OLD[1], OLD[1]])
    fresh = new_marks(twice, set(fingerprints(once)))
    assert len(fresh) == len(twice.marks) - len(once.marks) > 0


def test_another_place_is_another_fingerprint() -> None:
    reading = read(OLD)
    assert not set(fingerprints(reading, "kn-03")) & set(fingerprints(reading, "kn-04"))


def test_fingerprints_do_not_change_between_runs() -> None:
    assert fingerprints(read(OLD), "kn-03") == fingerprints(read(OLD), "kn-03")
    assert len(fingerprints(read([Block("prose", "Utilise a chair.")]), "x")[0]) == 16
