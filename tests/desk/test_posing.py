"""Posing a figure from the screen: drags, ways out, things and where they stand."""

from __future__ import annotations

import re

import pytest
from desk.conftest import Ask

from limberleaf.desk.write.posing.choices import figure_words
from limberleaf.diagrams.language.spec import Direction, FigureSpec, Prop
from limberleaf.diagrams.posing import solve_figure

SITTING = {"poses": [{"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": 20}}}}]}


def test_a_foot_that_is_dragged_is_said_in_angles(ask: Ask) -> None:
    before = ask("figure", figure=SITTING)
    foot = next(one for one in before["panels"][1]["handles"] if one["part"] == "affected foot")
    after = ask("drag", figure=SITTING, panel=1, part="affected foot", x=foot["x"] - 0.15, y=foot["y"] + 0.2)
    moved = next(one for one in after["panels"][1]["handles"] if one["part"] == "affected foot")
    assert after["stated"]
    assert after["figure"]["poses"][1]["joints"]["affected"]["knee"]["flexion"] > 20
    assert moved["y"] > foot["y"] + 0.05
    angles = [one for one in after["joints"][1] if one["stated"]]
    assert {(one["where"], one["joint"]) for one in angles} <= {("affected", "knee"), ("affected", "hip")}


def test_a_drag_on_its_way_shows_its_panel_alone_and_says_the_same(ask: Ask) -> None:
    before = ask("figure", figure=SITTING)
    foot = next(one for one in before["panels"][1]["handles"] if one["part"] == "affected foot")
    drag = {"panel": 1, "part": "affected foot", "x": foot["x"] - 0.15, "y": foot["y"] + 0.2}
    live = ask("drag", figure=SITTING, rest=SITTING, live=True, **drag)
    whole = ask("drag", figure=SITTING, rest=SITTING, **drag)
    assert (live["figure"], live["stated"]) == (whole["figure"], whole["stated"])
    assert "panels" not in live
    moved = next(one for one in live["live"]["handles"] if one["part"] == "affected foot")
    assert moved["y"] > foot["y"] + 0.05
    frames = [re.search(r'viewBox="([^"]+)"', one["svg"]) for one in (live["live"], before["panels"][1])]
    assert frames[0] and frames[1] and frames[0][1] == frames[1][1], "the picture keeps its size meanwhile"


def test_a_way_out_that_is_advised_is_taken_by_one_click(ask: Ask) -> None:
    impossible = {"poses": [{"posture": "sitting", "joints": {"both": {"hip": {"flexion": 0}}}}]}
    told = ask("figure", figure=impossible)
    fixes = [one for one in told["problems"] if one["fix"]]
    assert fixes, told["problems"]
    after = ask("fix", figure=impossible, panel=0, fix=fixes[0]["fix"])
    assert not [one for one in after["problems"] if one["severity"] == "error"]


@pytest.mark.parametrize("kind", ["wall", "table", "chair", "stick", "pillow"])
def test_a_thing_without_a_place_is_put_somewhere_by_one_click(ask: Ask, kind: str) -> None:
    figure = {"props": [{"kind": kind}], "poses": [{"posture": "standing"}]}
    told = [one for one in ask("figure", figure=figure)["problems"] if one["loc"][:1] == ["props"]]
    assert len(told) == 1, "one thing, one finding"
    assert told[0]["places"]
    assert "_" not in told[0]["message"] + told[0]["hint"]
    for words, way, value in told[0]["places"]:
        assert kind in words
        put = {**figure, "props": [{"kind": kind, way: value}]}
        left = {one["code"] for one in ask("figure", figure=put)["problems"]}
        assert not left & {"prop-unused", "prop-not-drawn", "figure-not-whole"}, words


def test_all_that_a_thing_can_be_said_to_stand_by_is_understood() -> None:
    choices = figure_words({"language": "en"})
    for kind, _, _, ways, surfaces in choices["props"]:
        assert ways, kind
        for way in ways:
            for value in [
                *choices["thing_places"][way],
                *(one for one, _ in choices["thing_options"].get(way, [])),
            ]:
                Prop.model_validate({"kind": kind, way: value})
        for surface in surfaces:
            assert surface.startswith(kind)
    for parts in choices["near"].values():
        for part in parts:
            assert f"affected {part}" in {name for name, _ in choices["parts"]}
    for direction in choices["directions"].values():
        Direction.model_validate(direction)


def test_a_figure_that_is_not_whole_is_told_and_not_drawn(ask: Ask) -> None:
    told = ask("figure", figure={"poses": [{"posture": "floating"}]})
    assert told["panels"] == []
    assert "not a known posture" in told["problems"][0]["message"]


BACK_OFF = {
    "props": [{"kind": "wall", "behind": "pelvis"}],
    "poses": [
        {
            "posture": "standing",
            "contacts": [{"part": "back", "on": "wall"}],
            "joints": {side: {"hip": {"flexion": 20}} for side in ("affected", "other")},
        },
        {"joints": {side: {"knee": {"flexion": 60}} for side in ("affected", "other")}},
    ],
}
SAME_IN_DUTCH: set[str] = {"bed", "other hand"}
"""Names that both languages share."""
RAW = re.compile(r"\{|\}|`|_|of body height|instead of \d+ ?$")


@pytest.mark.parametrize("language", ["en", "nl"])
@pytest.mark.parametrize(
    "figure",
    [
        BACK_OFF,
        {"poses": [{"posture": "standing", "contacts": [{"part": "back", "on": "floor"}]}]},
        {"poses": [{"posture": "sitting", "joints": {"both": {"hip": {"flexion": 0}}}}]},
        {"poses": [{"posture": "standing", "contacts": [{"part": "other heel", "on": "head"}]}]},
    ],
    ids=["wall", "floor", "angle", "heel"],
)
def test_what_is_said_of_a_pose_holds_no_keys(ask: Ask, figure: dict, language: str) -> None:
    told = [
        one
        for one in ask("figure", figure=figure, language=language)["problems"]
        if one["severity"] == "error"
    ]
    assert told
    for one in told:
        said = " ".join([one["message"], one["hint"], one.get("fix_says", "")])
        assert not RAW.search(said), said


@pytest.mark.parametrize("language", ["en", "nl"])
def test_a_way_out_of_the_trunk_is_said_as_its_slider_is(ask: Ask, language: str) -> None:
    figure = {
        "poses": [{"posture": "supine", "joints": {"lumbar": {"flexion": 45}, "thoracic": {"flexion": 30}}}]
    }
    told = ask("figure", figure=figure, language=language)["problems"]
    fix, said = next((one["fix"], one["fix_says"]) for one in told if one["fix"])
    assert "lumbar" in fix
    assert "leave out" not in said
    assert {"en": "low back", "nl": "onderrug"}[language] in said.lower()


def test_a_way_out_of_one_panel_leaves_the_others_as_they_were(ask: Ask) -> None:
    told = next(one for one in ask("figure", figure=BACK_OFF)["problems"] if one["fix"])
    assert told["loc"][1] == 1
    after = ask("fix", figure=BACK_OFF, panel=1, fix=told["fix"])
    assert not [one for one in after["problems"] if one["severity"] == "error"]
    assert after["figure"]["poses"][0] == BACK_OFF["poses"][0]
    assert not told["places"]


def test_a_wall_that_was_put_somewhere_is_not_put_elsewhere_for_a_back_inside_it(ask: Ask) -> None:
    inside = [one for one in ask("figure", figure=BACK_OFF)["problems"] if one["code"] == "inside-prop"]
    assert inside
    assert all(not one["places"] for one in inside)


def test_a_band_is_put_around_the_knees_by_one_click(ask: Ask) -> None:
    figure = {"props": [{"kind": "band"}], "poses": [{"posture": "sitting"}]}
    told = next(one for one in ask("figure", figure=figure)["problems"] if one["places"])
    words, way, value = next(one for one in told["places"] if "knees" in one[0])
    assert words == "Put the band around the knees"
    after = ask("figure", figure={**figure, "props": [{"kind": "band", way: value}]})
    assert not [one for one in after["problems"] if one["severity"] == "error"]


@pytest.mark.parametrize(
    ("posture", "handle", "touches", "given"),
    [
        ("standing", "affected foot", ["affected foot rests on the floor"], "affected foot"),
        ("standing", "affected hand", [], ""),
        ("four_point_kneeling", "other hand", ["other hand rests on the ground or bed"], "other hand"),
        ("sitting", "affected foot", ["affected foot rests on the floor"], "affected foot"),
    ],
)
def test_a_handle_says_what_its_limb_touches(
    ask: Ask, posture: str, handle: str, touches: list[str], given: str
) -> None:
    handles = ask("figure", figure={"poses": [{"posture": posture}]})["panels"][0]["handles"]
    told = next(one for one in handles if one["part"] == handle)
    assert (told["touches"], told["given"]) == (touches, given)


@pytest.mark.parametrize(("posture", "limb"), [("standing", "foot"), ("four_point_kneeling", "hand")])
def test_what_is_pressed_and_lifted_off_touches_nothing(ask: Ask, posture: str, limb: str) -> None:
    """What “Lift it off” writes for a limb that its posture laid down; in a panel and in the one after."""
    lifted = {"contacts": [{"part": f"affected {limb}", "release": True}]}
    for poses in ([{"posture": posture, **lifted}], [{"posture": posture}, lifted]):
        told = ask("figure", figure={"poses": poses})
        handle = next(one for one in told["panels"][-1]["handles"] if one["part"] == f"affected {limb}")
        assert handle["touches"] == []
        assert "release-nothing" not in {one["code"] for one in told["problems"]}


def test_a_hand_that_leaves_the_floor_straightens_at_the_wrist(ask: Ask) -> None:
    lifted = {
        "contacts": [{"part": "affected hand", "release": True}],
        "joints": {"affected": {"shoulder": {"flexion": 170}}},
    }
    told = ask("figure", figure={"poses": [{"posture": "four_point_kneeling"}, lifted]})
    wrists = [
        [
            one["value"]
            for one in joints
            if (one["where"], one["joint"], one["word"]) == ("affected", "wrist", "flexion")
        ]
        for joints in told["joints"]
    ]
    assert abs(wrists[0][0]) > 40
    assert abs(wrists[1][0]) < 10


def test_a_chair_put_before_somebody_who_stands_has_its_back_to_them() -> None:
    solved = solve_figure(
        FigureSpec.model_validate({"props": [{"kind": "chair"}], "poses": [{"posture": "standing"}]})
    )
    chair = solved.poses[0].props[0]
    seat, back = chair.blocks[0].centre, chair.blocks[-1].centre
    body = solved.poses[0].posed.points["pelvis_mid"]
    assert abs(back[0] - body[0]) < abs(seat[0] - body[0])


def test_in_dutch_no_part_place_or_view_is_called_in_english() -> None:
    own, english = (figure_words({"language": language}) for language in ("nl", "en"))
    same = {name for name, said in own["called"].items() if said == english["called"][name]}
    assert same <= SAME_IN_DUTCH, sorted(same - SAME_IN_DUTCH)
    assert {name: said for name, said in own["views"] if [name, said] in english["views"]} == {}
