"""What changed between two states of an entry: each change has its kind, words a reviewer can judge, and its weight."""

from __future__ import annotations

import pytest

from limberleaf.clinical.governance.difference import differences


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [
        ({"watch_for": ["Do not lean back."]}, {"watch_for": ["Lean back."]}, "not-dropped"),
        ({"steps": ["Hold for 5 seconds."]}, {"steps": ["Hold for 50 seconds."]}, "number"),
        ({"steps": ["Hold for 5 seconds."]}, {"steps": ["Hold for 5 minutes."]}, "number"),
        ({"steps": ["Lift your {affected} leg."]}, {"steps": ["Lift your {other} leg."]}, "side"),
        ({"feelings": {"stop": ["Sharp pain.", "Dizzy."]}}, {"feelings": {"stop": ["Dizzy."]}}, "stop-rule-removed"),
        ({"signs": ["A fever."]}, {"signs": []}, "sign-removed"),
        ({"steps": ["Lean back."]}, {"steps": ["Do not lean back."]}, "not-added"),
        ({"steps": ["Lift your heel."]}, {"steps": ["Lower your heel."]}, "direction"),
        ({"about": ["Go on with [[kn-05]]."]}, {"about": ["Go on with [[kn-06]]."]}, "link"),
        ({"signs": ["Your calf is hot, red, sore and swollen."]}, {"signs": ["Your calf is hot."]}, "cut-short"),
        ({"dose": {"sets": 3}}, {"dose": {"sets": 4}}, "dose"),
        ({"tier": "emergency"}, {"tier": "ease_off"}, "tier-lowered"),
        ({"tier": "ease_off"}, {"tier": "emergency"}, "tier-raised"),
        ({"pain_bands": {"carry_on": [0, 3]}}, {"pain_bands": {"carry_on": [0, 5]}}, "band-moved"),
        ({"action": "Call us today."}, {"action": "Call us soon."}, "urgency-dropped"),
        ({"signs": ["A blow to the head needs help at once."]}, {"signs": ["A blow to the head can wait for us."]},
         "urgency-dropped"),
        ({"steps": ["a", "b"]}, {"steps": ["b", "a"]}, "order"),
        ({"actions": {"emergency": {"en": "Call them now."}}}, {"actions": {"emergency": {"en": "Call them today."}}},
         "urgency-dropped"),
        ({"signs": ["It is hot, red or sore."]}, {"signs": ["It is hot, red and sore."]}, "joins"),
        ({"signs": ["It hurts, or you cough up blood."]}, {"signs": ["It hurts, or you cough a lot."]},
         "word-dropped"),
        ({"about": ["Walk each hour. Use a rail."]}, {"about": ["Walk each hour on a hill."]},
         "sentence-removed"),
        ({"applies_to": [{"tag": ["a"]}]}, {"applies_to": [{"tag": ["a"], "region": ["knee"]}]}, "reach"),
        ({"steps": ["Rest between the sets."]}, {"steps": ["Keep going between the sets."]}, "carelessness-added"),
        ({"leave_out_if": ["Your shoulder slips out easily."]}, {"leave_out_if": ["Your shoulder slips out often."]},
         "fact-words"),
        ({"setup": ["Put a mat down."]}, {"setup": ["Put a mat there."]}, "fact-words"),
        ({"setup": ["Wear a blouse."]}, {"setup": ["Wear a shirt."]}, "safety-line"),
        ({"sources": [{"claim": "b", "cite": "B"}]},
         {"sources": [{"cite": "A", "claim": "a"}, {"cite": "B", "claim": "b"}]}, "record"),
        ({"steps": ["Raise your heel."]}, {"steps": ["Lift your heel."]}, "wording"),
        ({"figure": {"poses": [{"contacts": [{"part": "both feet", "on": "floor"}]}]}},
         {"figure": {"poses": [{"contacts": [{"part": "affected toes", "on": "floor"}]}]}}, "contact-moved"),
        ({"steps": ["Keep a hand on the top."]}, {"steps": ["Keep a hand on the chair."]}, "hands-moved"),
        ({"about": ["If you are hurt, call for help. If you are not, get up."]},
         {"about": ["If you are not, call for help. If you are hurt, get up."]}, "words-turned"),
        ({"about": ["Come back slowly to the chair."]}, {"about": ["Slowly come back to the chair."]}, "wording"),
        ({"items": {"chair": {}}}, {"items": {"chair": {"support": True}}}, "support"),
        ({"items": {"chair": {"never": {"en": "On wheels."}}}}, {"items": {"chair": {}}}, "text-removed"),
        ({"figure": {"poses": [{"joints": {"affected": {"wrist": {"extension": 60}}}}]}},
         {"figure": {"poses": [{"joints": {"affected": {"wrist": {"flexion": 60}}}}]}}, "direction"),
        ({"figure": {"poses": [{"joints": {"affected": {"hip": {"flexion": 15, "abduction": 20}}}}]}},
         {"figure": {"poses": [{"joints": {"affected": {"hip": {"extension": 15, "abduction": 20}}}}]}}, "direction"),
        ({"figure": {"poses": [{"joints": {"affected": {"hip": {"abduction": 90}}}}]}},
         {"figure": {"poses": [{"joints": {"affected": {"hip": {"abduction": 60}}}}]}}, "angle"),
        ({"figure": {"poses": [{"joints": {"affected": {"hip": {"abduction": 90}}}}]}},
         {"figure": {"poses": [{"joints": {"affected": {"hip": {"abduction": 85}}}}]}}, "value"),
        ({"needs_clearance": True}, {"needs_clearance": False}, "clearance-dropped"),
        ({"figure": {"poses": [{"lead": "affected"}]}}, {"figure": {"poses": [{"lead": "other"}]}}, "side"),
        ({"sources": [{"claim": "dose", "source": "Do not hurry.", "note": "x"}, {"claim": "method", "source": "B"}]},
         {"sources": [{"source": "New", "claim": "dose"}, {"source": "Do not hurry.", "note": "x", "claim": "dose"},
                      {"source": "B", "claim": "method"}]}, "record"),
    ],
)  # fmt: skip
def test_each_change_has_its_kind(before: dict[str, object], after: dict[str, object], kind: str) -> None:
    assert [one.kind for one in differences(before, after, "en")] == [kind]


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ({"steps": ["Rest a day."]}, {"steps": ["Rest a week."]}, "A unit or a time changed (days, weeks): “Rest"),
        ({"steps": ["Put one hand on top."]}, {"steps": ["Put your hand on top."]}, "A word such as “one” or “once”"),
        ({"chair": {}}, {"chair": {"support": True}}, "`chair` may now be held for balance."),
        ({"steps": ["Let go.", "Sit down."]}, {"steps": ["Sit down.", "Let go."]},
         "The order of `steps` changed: “Sit down.” came after “Let go.” before"),
        ({"sets": {"start": {"exercises": [{"exercise": "kn-05"}]}}},
         {"sets": {"start": {"exercises": [{"exercise": "kn-06"}]}}},
         "Exercise 1 of the ready set “start” was kn-05, now it is kn-06."),
        ({"sets": {"start": {"weeks": 4}}}, {"sets": {"start": {"weeks": 8}}},
         "`weeks` of the ready set “start” was 4, now it is 8."),
        ({"band": {"never": {"nl": "Een scheur.", "en": "A tear."}}}, {"band": {}},
         "`band.never` was taken away: “A tear.”."),
    ],
)  # fmt: skip
def test_a_change_is_put_in_words_a_reviewer_can_judge(
    before: dict[str, object], after: dict[str, object], says: str
) -> None:
    (change,) = differences(before, after, "en")
    assert change.says.startswith(says)


def test_a_step_that_became_two_is_wording_and_one_that_lost_a_word_is_not() -> None:
    def marks(*new: str) -> list[bool]:
        return [
            one.safety
            for one in differences({"steps": ["Stand tall and look ahead."]}, {"steps": list(new)}, "en")
        ]

    assert marks("Stand tall.", "Look ahead.") == [False]
    assert any(marks("Stand tall.", "Look."))
    assert any(marks("Stand tall.", "Look ahead.", "Let go."))


def test_a_tag_in_the_place_of_another_is_one_gone_and_one_come() -> None:
    found = differences({"tags": ["a", "after_operation"]}, {"tags": ["a", "gets_up"]}, "en")
    assert {one.kind for one in found if one.weakens} == {"tag-removed"}
    assert {one.kind for one in found} == {"tag-removed", "tag-added"}


def test_a_small_turn_of_a_joint_waits_for_nobody_and_a_larger_one_does() -> None:
    def turned(degrees: int) -> list[bool]:
        one, two = (
            {"figure": {"poses": [{"joints": {"affected": {"knee": {"flexion": angle}}}}]}}
            for angle in (40, 40 + degrees)
        )
        return [change.safety for change in differences(one, two, "en")]

    assert [turned(5), turned(-5), turned(10)] == [[False], [False], [True]]
