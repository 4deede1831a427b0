"""What an editor reads: the band, the sentences that are why, what to write instead, and where."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from desk.conftest import TODAY, entry_of, page
from desk.hard_library import ENTRY
from desk.html_help import by_class, by_id, marked_words, section, tree, words

from limberleaf.clinical.record import instruments
from limberleaf.desk.live_desk import LiveDesk
from limberleaf.desk.site import Desk
from limberleaf.reading import counting_rules, language

HARD = "exercises/kn-02.html"


def test_the_answer_names_the_band_the_sentences_and_what_to_write(desk: Desk) -> None:
    answer = section(page(desk, HARD), "How it reads")
    assert re.search(r"Age \d+ to \d+ US grade \d+ to \d+", answer)
    assert "target is grade 6" in answer
    assert "These three sentences are why" in answer
    assert (
        "Gradually extend the stiff knee against gravity until approximately full extension is achieved"
        in answer
    )
    assert "for “approximately”, “about”" in answer
    assert "an easier word for" in answer


def test_every_mark_is_on_its_words_and_its_note_on_the_line_of_the_file(desk: Desk, hard: Path) -> None:
    html = page(desk, HARD)
    lines = (hard / ENTRY).read_text("utf-8").splitlines()
    root, marks = tree(html), marked_words(html)
    assert len(marks) >= 6
    assert ("degenerative" in text for _, text in marks)
    for number, text in marks:
        note = by_id(root, f"note-{number}")
        place = words(by_class(note, "where")[0])
        path, line, column = place.rsplit(":", 2)
        assert f"content/{path}" == ENTRY
        written = lines[int(line) - 1][int(column) - 1 :]
        assert written.split()[0].strip(".,") == text.split()[0].strip(".,"), place


def test_each_mark_is_clear_without_colour_and_to_screen_readers(desk: Desk) -> None:
    root = tree(page(desk, HARD))
    refs = by_class(root, "ref")
    assert len(refs) == len(by_class(root, "note-of")) > 0
    for ref in refs:
        assert re.fullmatch(r"note \d+", words(ref))
        note = by_id(root, ref.get("aria-describedby") or "")
        assert ref.get("href") == f"#{note.get('id')}"
        assert words(by_class(note, "sev")[0]) in ("Mend", "Look at", "Consider")


def test_rules_switched_off_are_listed_with_their_reasons(desk: Desk) -> None:
    text = section(page(desk, HARD), "The words a patient reads")
    assert "Long word with a shorter one at considerable exercises/knee/kn-02.yml" in text
    assert "Reason: Patients here know the word; three of them read it." in text
    assert "“Left from an earlier version.”, but it finds nothing here" in text
    assert "considerable" not in [text for _, text in marked_words(page(desk, HARD))]
    assert "No rule is switched off here." in section(
        page(desk, "exercises/kn-01.html"), "The words a patient reads"
    )


def test_sections_are_graded_one_by_one(desk: Desk) -> None:
    view = desk.view(entry_of(desk, "kn-02"))
    by_title = {one.title: one for one in view.sections}
    assert list(by_title)[:3] == ["Title and aim", "In short", "It suits you if"]
    assert by_title["Do it"].grade == "Hard"
    assert by_title["Fine to feel"].grade == "Easy"
    assert by_title["Fine to feel"].words == len(["Your", "thigh", "works", "hard", "and", "may", "shake"])
    assert sum(one.words for one in view.sections) == view.sum.words


def test_all_measures_and_raw_counts_are_beside_the_counting_rules(desk: Desk) -> None:
    numbers = section(page(desk, HARD), "All numbers")
    view = desk.view(entry_of(desk, "kn-02"))
    assert len(view.numbers.measures) == len(language("en").measures)
    for name in ("SMOG", "Flesch-Kincaid", "New Dale-Chall", "Prose without terms and names", "Left out"):
        assert name in numbers
    for rule in counting_rules():
        assert " ".join(rule.rule.split()) in numbers


def test_explained_terms_are_counted_with_and_without(desk: Desk) -> None:
    assert "Without names and explained terms (physiotherapist)" in section(page(desk, HARD), "How it reads")


def test_findings_of_other_families_are_listed_apart(desk: Desk) -> None:
    html = page(desk, HARD)
    other = section(html, "Other findings")
    assert "“3 sets” does not agree with the dose (2)." in other
    assert "words-differ-from-dose" in other
    assert "hard-sentence" not in other
    assert "No other check has anything to say" in section(
        page(desk, "cautions/hot-knee.html"), "Other findings"
    )


def test_the_record_tells_three_instruments_and_never_claims_a_judgement(desk: Desk) -> None:
    record = section(page(desk, HARD), "Record")
    for name, instrument in instruments().items():
        tally = re.search(
            rf"{name}: (\d+) met, (\d+) open, (\d+) for a person, (\d+) not about a page", record
        )
        assert tally
        assert sum(map(int, tally.groups())) == len(instrument["items"])
    assert "never that a person has judged it" in record


def test_the_overview_lists_every_page_hardest_work_first(desk: Desk) -> None:
    root = tree(page(desk, "index.html"))
    rows = [one for one in root.iter("tr") if one.get("data-kind")]
    assert {row.get("data-kind") for row in rows} == {"exercise", "ladder", "collection", "caution", "prose"}
    assert len(rows) == len(desk.entries) == 7
    assert "1 error" in words(rows[0])
    hard = next(words(row) for row in rows if "Straighten your knee" in words(row))
    assert re.search(r"Age \d+ to \d+ US grade", hard)
    assert "warnings" in hard
    assert "In review version 2" in hard
    assert "1 September 2028" in hard
    assert "Lead physiotherapist" in hard


def test_rows_carry_what_the_filters_ask_for(desk: Desk) -> None:
    root = tree(page(desk, "index.html"))
    row = next(one for one in root.iter("tr") if "kn-02" in words(one))
    assert row.get("data-collection") == "stiff-knee"
    assert row.get("data-owner") == "Lead physiotherapist"
    assert row.get("data-language") == "en"
    assert row.get("data-state") == "current"


def test_the_chart_says_its_numbers(desk: Desk) -> None:
    svg = next(tree(page(desk, "index.html")).iter("{http://www.w3.org/2000/svg}svg"))
    label = svg.get("aria-label") or ""
    counts = [int(number) for number in re.findall(r": (\d+)", label)]
    assert sum(counts) == 7
    assert "no band: 5" in label
    assert not [one for one in svg.iter() if one.get("style")], "the content policy would drop it"


@pytest.mark.parametrize(
    ("today", "state", "line"),
    [
        ("2028-05-31", "current", None),
        ("2028-06-01", "due_soon", "92 days"),
        ("2028-09-02", "overdue", "1 day overdue"),
    ],
)
def test_what_is_due_is_listed_within_the_reminder(
    desk: Desk, today: str, state: str, line: str | None
) -> None:
    """The starter is due on 2028-09-01, and its clinic reminds 3 months ahead."""
    then = Desk(desk.library, desk.findings, type(TODAY).fromisoformat(today), desk.readings)
    assert entry_of(then, "kn-01").state == state
    due = section(page(then, "index.html"), "Overdue or due within 3 months")
    assert (line in due) if line else ("Nothing is due." in due)


def test_the_sheet_names_what_the_tool_saw_and_asks_what_a_person_must_judge(desk: Desk) -> None:
    html = page(desk, "exercises/kn-02.sign-off.html")
    tool = section(html, "What the tool looked at")
    assert "Target: grade 6." in tool
    assert "“3 sets” does not agree" in tool
    assert "Changed since version 2 was approved" in tool
    person = tree(html)
    asked = {
        words(one).split()[0]
        for one in by_id_section(person, "person").iter("th")
        if one.get("scope") == "row"
    }
    left_to_a_person = {
        number for number, item in instruments()["PEMAT-P"]["items"].items() if item["how"] == "person"
    }
    assert left_to_a_person <= asked
    text = section(html, "What only a person can judge")
    assert "Items 7, 9, 12, 19, 24 are settled by the template." in text
    decision = section(html, "Decision")
    for line in ("Name and role", "Signature", "Date", "Next review due", "Not approved"):
        assert line in decision


def by_id_section(root, name: str):  # type: ignore[no-untyped-def]
    return next(one for one in root.iter("section") if one.get("aria-labelledby") == name)


def test_every_page_is_valid_and_every_link_leads_somewhere(desk: Desk) -> None:
    for path in desk.paths:
        if not path.endswith(".html"):
            continue
        root = tree(page(desk, path))
        ids = [one.get("id") for one in root.iter() if one.get("id")]
        assert len(ids) == len(set(ids)), path
        for one in root.iter():
            link = one.get("href") or one.get("src")
            if not link or link.startswith("data:"):
                continue
            target, _, part = link.partition("#")
            resolved = (Path("/", path).parent / target).resolve().as_posix()[1:] if target else path
            assert desk.file(resolved) is not None, (path, link)
            if part and not target:
                assert part in ids, (path, link)


def test_a_broken_entry_is_named_on_the_overview(hard: Path, desk: Desk, tmp_path: Path) -> None:
    content = tmp_path / "content"
    shutil.copytree(hard / "content", content)
    broken = content / "exercises/knee/kn-01.yml"
    broken.write_text(broken.read_text("utf-8").replace("kind: mobility", "kind: magic"), "utf-8")
    changed = LiveDesk(content, desk.readings.store, lambda: TODAY).desk()
    text = section(page(changed, "index.html"), "Files to fix first")
    assert "exercises/knee/kn-01.yml" in text


def test_a_language_without_a_formula_is_not_called_short_or_hard(
    hard: Path, desk: Desk, tmp_path: Path
) -> None:
    content = tmp_path / "content"
    shutil.copytree(hard / "content", content)
    page_file = content / "pages/about.ar.md"
    page_file.write_text("---\ntitle: عن\ndescription: عن\n---\n\n" + "اجلس على كرسي ثابت. " * 40, "utf-8")
    changed = LiveDesk(content, desk.readings.store, lambda: TODAY).desk()
    html = page(changed, "pages/about.ar.html")
    answer = section(html, "How it reads")
    assert "No formula for this language" in answer
    assert "hard word" not in answer
    title = next(tree(html).iter("h1"))
    assert (title.get("lang"), title.get("dir")) == ("ar", "auto")
