"""What the desk says of an entry while it is written: all of it, in the words of the form, and how it stands."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from desk.conftest import PATH, Ask, Clock, write_api_over

import limberleaf.checks
import limberleaf.diagrams
from limberleaf.desk.write.api import WriteApi
from limberleaf.desk.write.form.form_words import form_words
from limberleaf.desk.write.words import desk_words
from limberleaf.library.text import DOSE_BLANKS, PLACEHOLDERS
from limberleaf.store import Store

GUESSED = {"exercise": "kn-01", "when": "You can do it easily for a week."}
"""A rule nobody can measure."""


def look(ask: Ask, **changes: Any) -> dict[str, Any]:
    """Look at the entry with some of its values changed; None takes a value out."""
    opened = ask("open")
    language = changes.pop("language", "en")
    value = {key: item for key, item in {**opened["value"], **changes}.items() if item is not None}
    answer: dict[str, Any] = ask(
        "look", base=opened["base"], value=value, whole=True, typed=True, language=language
    )
    return answer


def with_pages(library: Path, store: Store, clock: Clock) -> tuple[WriteApi, Ask]:
    """Give an api whose pages can be read, and how to ask it."""
    made = write_api_over(library, store, clock)

    def asked(name: str, **more: Any) -> Any:
        answer = made.asked(f"ask/{name}", {"page": "p1", "path": PATH, **more}, "")
        assert answer is not None
        return json.loads(answer[1])

    return made, asked


def codes(told: dict[str, Any]) -> set[str]:
    return {one["code"] for one in told["findings"]}


# --- in the words of the form ----------------------------------------------------------------------------------------


def written_to_authors() -> Iterator[str]:
    """Give every text of the checks and of the drawing that names a key between backticks; “x” fills f-strings."""
    for package in (limberleaf.checks, limberleaf.diagrams):
        for file in Path(str(package.__file__)).parent.rglob("*.py"):
            tree = ast.parse(file.read_text("utf-8"))
            docs = {
                id(node.body[0].value)
                for node in ast.walk(tree)
                if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef)
                and node.body
                and isinstance(node.body[0], ast.Expr)
            }
            for node in ast.walk(tree):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") in (
                    "Finding",
                    "Problem",
                    "_finding",
                ):
                    for given in node.args:
                        text = "".join(
                            str(part.value) if isinstance(part, ast.Constant) else "x"
                            for one in ast.walk(given)
                            if isinstance(one, ast.JoinedStr)
                            for part in one.values
                        ) or (given.value if isinstance(given, ast.Constant) else "")
                        if isinstance(text, str) and "`" in text and id(given) not in docs:
                            yield text


@pytest.mark.parametrize("language", ["en", "nl"])
def test_no_finding_speaks_of_keys(language: str) -> None:
    texts = list(written_to_authors())
    assert len(texts) > 40
    form = form_words("exercise", desk_words(language))
    said = [form.say(text) for text in texts]
    assert [text for text in said if "`" in text or re.search(r"\b[a-z]+_[a-z_]+:", text)] == []


@pytest.mark.parametrize(
    ("language", "written", "said"),
    [
        ("en", "Change the dose, or write `dose_reason:`.", "Change the dose, or fill in “Why this dose”."),
        ("en", "Use {affected}, or write `sides: both`.", "Use “affected side”, or choose “Sides: Both at once”."),
        ("en", "Says “Lift your {affected} leg”, not {sid}.", "Says “Lift your affected side leg”, not {sid}."),
        ("en", "Known here: hold, hold_count.", "Known here: hold, “hold, number only”."),
        ("en", "Not said yet: captions (PEMAT-P 17, PEMAT-P 25).", "Not said yet: captions."),
        ("en", "mark it `optional: true`", "mark it “Can be done without it”"),
        ("en", "add `inset: trunk` (or neck)", "add “Enlarged part: Trunk” (or neck)"),
        ("en", "(clinic.yml, `review: approvers:`)", "(the settings of the clinic, “Review: Roles that may approve”)"),
        ("nl", "No line under `ease_off:` says it.", "No line under “Rustiger aan” says it."),
        ("nl", "or write `sides: both`", "or kies “Kanten: Beide tegelijk”"),
    ],
)  # fmt: skip
def test_keys_become_labels_and_values_become_choices(language: str, written: str, said: str) -> None:
    assert form_words("exercise", desk_words(language)).say(written) == said


def test_of_two_fields_with_one_key_the_nearest_is_meant() -> None:
    form = form_words("exercise", desk_words("en"))
    assert form.say("`instead:`", ("equipment", 0, "instead")) == "“What does as well at home”"
    assert form.say("`instead:`") == "“Another exercise that does as well”"
    assert form.where(("feelings", "ease_off", 0)) == "What you may feel › Ease off 1"


# --- all that is open ------------------------------------------------------------------------------------------------


def test_one_mistake_hides_no_other(ask: Ask) -> None:
    mistakes = {
        "watch_for": ["Leaning forward."],
        "harder": GUESSED,
    }
    before = codes(look(ask, **mistakes))
    assert {"warning-lost", "not-measurable"} <= before
    told = look(
        ask, **mistakes, easier={"exercise": "kn", "when": "You cannot lift your foot."}, in_short=None
    )
    assert before <= codes(told)
    assert {"wrong-form", "missing-key"} <= codes(told)
    assert not told["whole"]


def test_no_finding_is_about_a_dummy_value(ask: Ask) -> None:
    told = look(
        ask, **dict.fromkeys(("aim", "kind", "sides", "position", "dose", "in_short", "leave_out_if"))
    )
    empty = [one["loc"] for one in told["findings"] if one["code"] == "missing-key"]
    assert {loc[0] for loc in empty} == {
        "aim",
        "kind",
        "sides",
        "position",
        "dose",
        "in_short",
        "leave_out_if",
    }
    others = [one for one in told["findings"] if one["code"] != "missing-key"]
    assert [one for one in others if one["loc"] in empty or "…" in one["message"]] == []


def test_the_page_is_there_from_the_first_word(library: Path, store: Store, clock: Clock) -> None:
    made, asked = with_pages(library, store, clock)
    path = asked("new", kind="exercise", region="knee", title="Slide your foot")["path"]
    value = asked("open", path=path)["draft"]["value"]
    told = asked("look", path=path, base=None, value=value, whole=True)
    page = made.page(told["page"])
    assert page is not None
    assert b"Slide your foot</h1>" in page[1]
    assert b"Not approved yet" in page[1]
    assert b"Reviewed by" not in page[1]


def test_an_approval_shows_nothing_that_the_form_did_not(ask: Ask) -> None:
    changes = {
        "harder": GUESSED,
        "aim": "Utilise this one on stairs.",
    }
    told = look(ask, **changes)
    opened = ask("open")
    ask("save", base=opened["base"], value={**opened["value"], **changes})
    shown = ask("approval")["open"]
    at_form = {one["message"] for one in (*told["findings"], *told["marks"])}
    assert {one["message"] for one in shown} == at_form
    assert (
        "This rule holds no number, no named feeling and no landmark, so a patient has to guess." in at_form
    )


def test_a_reason_that_misses_a_part_is_told_how_to_name_it(ask: Ask) -> None:
    dose = {**ask("open")["value"]["dose"], "rest": "30 s"}
    told = look(ask, dose=dose, dose_reason="The load is light.")
    hint = next(one["hint"] for one in told["findings"] if one["loc"] == ["dose", "rest"])
    assert hint.startswith("“Why this dose” does not speak of it: say why there, with the word “rest”.")
    told = look(ask, dose=dose, dose_reason="The load is light, so a short rest will do.")
    assert [one for one in told["findings"] if one["loc"] == ["dose", "rest"]] == []


# --- how it stands ---------------------------------------------------------------------------------------------------


def test_form_and_page_say_how_it_stands(library: Path, store: Store, clock: Clock) -> None:
    made, asked = with_pages(library, store, clock)
    opened = asked("open")

    def page(**changes: Any) -> tuple[str, str]:
        told = asked(
            "look", base=opened["base"], value={**opened["value"], **changes}, whole=True, typed=True
        )
        shown = made.page(told["page"])
        assert shown is not None
        return told["standing"]["says"], shown[1].decode()

    says, text = page()
    assert says == "Approved by Clinical lead on 1 September 2026"
    assert "Reviewed by" in text
    assert "Not approved yet" not in text
    says, text = page(aim="Make your thigh strong.")
    assert says == "Changed since its approval by Clinical lead on 1 September 2026"
    assert "Reviewed by" not in text
    assert "Not approved yet. Do not give this page to a patient." in text
    assert asked("open")["draft"] is not None
    page()
    assert asked("open")["draft"] is None, "a text taken back to what is saved is no draft"


def test_roles_of_another_language_are_not_offered(ask: Ask, library: Path) -> None:
    clinic, lock = library / "clinic.yml", library / "approved.lock"
    clinic.write_text(
        clinic.read_text("utf-8").replace("[Clinical lead,", "[Clinical lead, Klinisch leidinggevende,"),
        "utf-8",
    )
    text = lock.read_text("utf-8")
    theirs = 'translations/kn-01.nl 1 2026-09-01 "Klinisch leidinggevende"\n aim "Sterk"\n'
    lock.write_text(text.replace("\nend ", f"\n{theirs}end ") if "\nend " in text else text + theirs, "utf-8")
    opened = ask("open")
    ask("save", base=opened["base"], value={**opened["value"], "aim": "Make your thigh strong."})
    assert ask("approval")["roles"] == ["Clinical lead", "Second reader"]


# --- blanks and limbs ------------------------------------------------------------------------------------------------


def test_each_blank_is_a_button_that_says_what_it_becomes(ask: Ask) -> None:
    found = {one["name"]: one["becomes"] for one in look(ask)["blanks"]}
    assert found["acceptable_pain"] == "3"
    assert found["sets"] == "3 sets"
    assert found["hold_count"] == "3"
    assert found["affected"].endswith("/ left / right")
    assert "affected" not in {one["name"] for one in look(ask, sides="both")["blanks"]}
    assert "duration" not in found, "this dose is counted"
    spaced = [name for name in (*PLACEHOLDERS, *DOSE_BLANKS) if desk_words("en").blank(name) == ""]
    assert spaced == []


def test_a_dragged_knee_bends_the_hip_and_does_not_spread_it(ask: Ask) -> None:
    figure = {"poses": [{"posture": "sitting"}, {"joints": {"affected": {"hip": {"flexion": 90}}}}]}
    knee = next(
        one for one in ask("figure", figure=figure)["panels"][1]["handles"] if one["part"] == "affected knee"
    )
    after = ask("drag", figure=figure, panel=1, part="affected knee", x=knee["x"], y=knee["y"] - 0.05)
    hip = after["figure"]["poses"][1]["joints"]["affected"]["hip"]
    assert hip["flexion"] > 90
    assert set(hip) == {"flexion"}
