"""Posing a figure from the screen: drags, ways out, things and where they stand."""

from __future__ import annotations

import re

import pytest
from desk.conftest import Ask

from limberleaf.desk.write.posing.choices import figure_words
from limberleaf.diagrams.language.spec import Direction, Prop

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
