"""Which cautions a page carries, how they share boxes, and that a built page cannot leave one out."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from limberleaf.clinical.cautions import all_boxes, boxes, merged, rule_fits
from limberleaf.clinical.coverage import coverage, coverage_text, missing_boxes, missing_on_page, page_words
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.library import Library, Rule, load_library
from limberleaf.library.text import fill


def add(content: Path, name: str, **changes: str) -> None:
    """Write one more caution, after the pattern of the starter's emergency one."""
    text = (content / "cautions/hot-knee.yml").read_text("utf-8").replace("id: hot-knee", f"id: {name}")
    for old, new in changes.items():
        wanted = {
            "tier": "tier: emergency",
            "rule": "  - {region: [knee]}",
            "signs": "signs:",
            "status": "status: approved",
        }[old]
        assert wanted in text
        text = text.replace(wanted, new, 1)
    (content / f"cautions/{name}.yml").write_text(text, "utf-8")


def carried(content: Path, code: str = "kn-02") -> list[str]:
    library = load_library(content)
    assert library.findings == []
    return [ident for box in boxes(library, library.exercises[code].entry, "en") for ident in box.ids]


FITS = [
    ({"region": ["knee"]}, True),
    ({"region": ["hip", "knee"]}, True),
    ({"region": ["hip"]}, False),
    ({"kind": ["strength"]}, True),
    ({"region": ["knee"], "kind": ["stretch"]}, False),
    ({"region": ["knee"], "kind": ["strength"], "position": ["sitting"]}, True),
    ({"position": ["standing"]}, False),
    ({"equipment": ["chair"]}, True),
    ({"equipment": ["bed"]}, False),
    ({"tag": ["hard_work", "fall_risk"]}, True),
    ({"tag": ["single_leg"]}, False),
    ({"equipment": ["chair"], "tag": ["single_leg"]}, False),
]


@pytest.mark.parametrize(("keys", "fits"), FITS)
def test_keys_of_a_rule_all_fit_and_any_value_will_do(
    library: Library, keys: dict[str, Any], fits: bool
) -> None:
    exercise = library.exercises["kn-02"].entry.model_copy(update={"tags": ["fall_risk"]})
    assert rule_fits(Rule.model_validate(keys), exercise) is fits


def test_any_rule_will_do_and_everywhere_is_everywhere(content: Path) -> None:
    add(content, "two-rules", rule="  - {region: [hip]}\n  - {kind: [strength]}")
    assert "two-rules" in carried(content)
    assert "two-rules" not in carried(content, "kn-01")


def test_an_exercise_may_name_one_more(content: Path) -> None:
    add(content, "hip-only", rule="  - {region: [hip]}")
    assert "hip-only" not in carried(content)
    file = content / "exercises/knee/kn-02.yml"
    file.write_text(file.read_text("utf-8") + "cautions: [hip-only]\n", "utf-8")
    assert "hip-only" in carried(content)


def test_a_caution_that_is_not_approved_is_shown_nowhere(content: Path) -> None:
    add(content, "draft-one", status="status: in_review")
    assert "draft-one" not in carried(content)
    library = load_library(content)
    assert "draft-one" not in [ident for box in all_boxes(library, "en") for ident in box.ids]


def test_boxes_come_by_tier_and_share_one_with_the_same_action(content: Path) -> None:
    add(content, "a-second", signs="signs:\n  - You faint.")
    add(content, "mild", tier="tier: ease_off")
    library = load_library(content)
    found = boxes(library, library.exercises["kn-02"].entry, "en")
    assert [box.tier for box in found] == ["emergency", "same_day", "ease_off"]
    assert found[0].ids == ("a-second", "hot-knee")
    assert found[0].title == "Get help now if you have any of these"
    assert found[0].signs[0] == "You faint."
    assert len(found[0].signs) == len(set(found[0].signs)) == 2
    assert [(part.id, part.title) for part in found[0].parts] == [
        ("a-second", "A hot knee and feeling ill"),
        ("hot-knee", "A hot knee and feeling ill"),
    ]
    assert (
        found[1].title == "A knee that locks or cannot take weight: get help today if you have any of these"
    )
    assert "Take care" not in found[2].title
    assert found[1].action == library.settings.actions.same_day.in_language("en")


def test_another_action_or_a_time_window_needs_a_box_of_its_own(content: Path) -> None:
    add(content, "own-action", signs="action: Call {emergency_number} and lie down.\nsigns:")
    add(content, "new-only", signs="within: 14 days\nsigns:")
    library = load_library(content)
    found = [box for box in boxes(library, library.exercises["kn-02"].entry, "en") if box.tier == "emergency"]
    assert sorted(box.ids for box in found) == [("hot-knee",), ("new-only",), ("own-action",)]
    by_id = {box.ids[0]: box for box in found}
    assert by_id["own-action"].action == "Call {emergency_number} and lie down."
    title = by_id["new-only"].title
    assert title == (
        "A hot knee and feeling ill: get help now if you have any of these, if new or worse in the last 14 days"
    )


@pytest.mark.parametrize(
    ("language", "heading"),
    [
        ("en", "If you are pregnant: get help today if you have any of these"),
        ("nl", "Als u zwanger bent: bij deze klachten vandaag hulp"),
        ("ar", "إذا كنتِ حاملًا: اطلب المساعدة اليوم إذا ظهر لديك أي مما يلي"),
    ],
)
def test_whom_a_box_is_for_is_never_told_to_get_help_by_the_heading_alone(
    content: Path, language: str, heading: str
) -> None:
    """Most who are pregnant have none of the signs: an order before the title would send them all."""
    title, _, _ = heading.partition(":")
    add(content, "for-some", tier="tier: same_day")
    file = content / "cautions/for-some.yml"
    file.write_text(re.sub("(?m)^title: .*", f"title: {title}", file.read_text("utf-8")), "utf-8")
    library = load_library(content)
    (box,) = merged(library, [library.cautions["for-some"].entry], language)
    assert box.title == heading


def test_a_collection_carries_the_urgent_cautions_of_its_exercises(content: Path) -> None:
    add(content, "strong-urgent", rule="  - {kind: [strength]}")
    add(content, "strong-mild", tier="tier: ease_off", rule="  - {kind: [strength]}")
    library = load_library(content)
    for entry in (library.collections["stiff-knee"].entry, library.ladders["knee-first-steps"].entry):
        ids = [ident for box in boxes(library, entry, "en") for ident in box.ids]
        assert "strong-urgent" in ids
        assert "strong-mild" not in ids


def test_the_get_help_page_has_every_caution_in_the_same_words(content: Path) -> None:
    add(content, "hip-only", rule="  - {region: [hip]}")
    library = load_library(content)
    everything = all_boxes(library, "en")
    assert {ident for box in everything for ident in box.ids} == set(library.cautions)
    here = {sign for box in boxes(library, library.exercises["kn-01"].entry, "en") for sign in box.signs}
    assert here <= {sign for box in everything for sign in box.signs}


def page(library: Library, code: str) -> str:
    entry = library.exercises[code].entry
    placeholders = placeholders_for(library, entry, "left", "en")
    lines = []
    for box in boxes(library, entry, "en"):
        lines += [
            f"<h2>{box.title}</h2><ul>",
            *(f"<li>{fill(sign, placeholders)}</li>" for sign in box.signs),
            "</ul>",
        ]
        lines.append(
            f"<p>{fill(box.action, placeholders).plain.replace('999', '<a href=tel:999>999</a>')}</p>"
        )
    return "<html><head><style>p{}</style></head><body>" + "\n".join(lines) + "</body></html>"


def test_a_page_with_its_boxes_is_whole(library: Library) -> None:
    loaded = library.exercises["kn-02"]
    placeholders = placeholders_for(library, loaded.entry, "left", "en")
    assert missing_boxes(library, loaded, page(library, "kn-02"), placeholders, "en") == []


@pytest.mark.parametrize(
    ("cut", "message"),
    [
        ("<li>You cannot put weight on your leg.</li>", "You cannot put weight on your leg."),
        ("Do not drive yourself.", "Do not drive yourself."),
    ],
)
def test_a_page_that_leaves_out_a_line_is_found(library: Library, cut: str, message: str) -> None:
    loaded = library.exercises["kn-02"]
    placeholders = placeholders_for(library, loaded.entry, "left", "en")
    html = page(library, "kn-02")
    assert cut in html
    found = missing_boxes(library, loaded, html.replace(cut, ""), placeholders, "en")
    assert [(finding.code, finding.severity) for finding in found] == [("box-missing", "error")]
    assert message in found[0].message
    assert found[0].place.path == "exercises/knee/kn-02.yml"


@pytest.mark.parametrize("url", ["kn-02/left/", "kn-02/", "nl/kn-02/right/"])
def test_a_built_page_is_found_by_its_address(library: Library, url: str) -> None:
    language = "nl" if url.startswith("nl/") else "en"
    empty = missing_on_page(library, url, language, "<p>Nothing</p>")
    assert {finding.code for finding in empty} == {"box-missing"}
    assert {finding.place.path for finding in empty} == {"exercises/knee/kn-02.yml"}
    assert missing_on_page(library, url, language, page(library, "kn-02")) == []


def test_the_get_help_page_may_leave_out_nothing(content: Path) -> None:
    add(content, "hip-only", rule="  - {region: [hip]}", signs="signs:\n  - Your hip is out of shape.")
    library = load_library(content)
    found = missing_on_page(library, "get-help/", "en", page(library, "kn-02"))
    assert ["Your hip is out of shape." in finding.message for finding in found] == [True]
    for other in ("", "about/", "plan/", "kn-02/left/card/", "collections/nothing/"):
        assert missing_on_page(library, other, "en", "") == []
    for group in ("ladders/knee-first-steps/", "collections/stiff-knee/"):
        assert missing_on_page(library, group, "en", "")
        assert missing_on_page(library, group, "en", page(library, "kn-01")) == []


def test_words_in_a_script_are_not_shown() -> None:
    html = (
        "<p>Sit&nbsp;tall &amp; <b>hold</b></p><script>var x = 'Call 999'</script><template>hidden</template>"
    )
    assert page_words(html) == "Sit tall & hold"


def test_the_matrix_of_pages_against_cautions(content: Path) -> None:
    add(content, "strong-only", tier="tier: ease_off", rule="  - {kind: [strength]}")
    text = coverage_text(coverage(load_library(content)))
    assert text.splitlines() == [
        "E1  hot-knee",
        "S1  knee-giving-way",
        "O1  strong-only",
        "",
        "                  E1 S1 O1",
        "kn-01              x  x  .",
        "kn-02              x  x  x",
        "knee-first-steps   x  x  .",
        "stiff-knee         x  x  .",
        "                   4  4  1",
    ]
