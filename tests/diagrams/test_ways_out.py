"""Ways out that findings advise, and legs that stay where a body would leave them: nothing a picture shows is a lie."""

import pytest

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.remedies import apply_fix


def _solved(first, *later, **more):
    return solve_figure(FigureSpec.model_validate({"poses": [first, *later], **more}))


def _resting(solved):
    return {(one.part, one.place) for one in solved.poses[-1].contacts}


def _errors(solved):
    return [one for one in solved.problems if one.severity == "error"]


def _advised(solved):
    """Give the first finding with a way out that was tried, and the way out."""
    found = next(one for one in solved.problems if "Tried, and it works: " in one.hint)
    return found, found.hint.partition("Tried, and it works: ")[2].rstrip(".")


@pytest.mark.parametrize("side", ["affected", "both"])
@pytest.mark.parametrize("degrees", [15, 25, 40])
def test_feet_stay_on_the_floor_while_knees_go_apart_in_sitting(side, degrees):
    """Hips turn out over feet that stand; nobody on a chair falls by opening the knees."""
    solved = _solved({"posture": "sitting"}, {"joints": {side: {"hip": {"abduction": degrees}}}})
    assert {("right foot", "floor"), ("left foot", "floor")} <= _resting(solved)
    assert _errors(solved) == []


@pytest.mark.parametrize(
    ("posture", "part", "place"),
    [
        ("supine", "right heel", "ground"),
        ("long_sitting", "right heel", "ground"),
        ("prone", "right knee", "ground"),
    ],
)
def test_a_leg_that_carries_nothing_slides_aside_and_is_lifted_across(posture, part, place):
    aside = _solved({"posture": posture}, {"joints": {"affected": {"hip": {"abduction": 25}}}})
    assert (part, place) in _resting(aside)
    across = _solved({"posture": posture}, {"joints": {"affected": {"hip": {"adduction": 20}}}})
    assert (part, place) not in _resting(across)


def test_nobody_falls_from_a_chair_whose_feet_are_lifted():
    """Thighs on the seat hold a sitting body: its weight lies over them (de Leva's masses), feet or no feet."""
    solved = _solved({"posture": "sitting"}, {"joints": {"both": {"knee": {"flexion": 60}}}})
    assert not {("right foot", "floor"), ("left foot", "floor")} & _resting(solved)
    assert _errors(solved) == []
    leaning = _solved(
        {"posture": "sitting_on_edge"},
        {"joints": {"both": {"knee": {"flexion": 60}}}, "directions": [{"lean": "trunk", "forward": 60}]},
    )
    assert "off-balance" in {one.code for one in leaning.problems}  # over the knees nothing holds it


def test_a_leg_that_leant_with_the_body_lifts_when_it_is_stated():
    """Hands on a chair's back tip the body; 20 degrees back are then 12 more, and a step all the same."""
    hands = {"posture": "standing", "contacts": [{"part": "both hands", "on": "chair back"}]}
    back = {"joints": {"affected": {"hip": {"extension": 20}}}}
    solved = _solved(hands, back, props=[{"kind": "chair"}])
    assert ("right foot", "floor") not in _resting(solved)
    assert abs(solved.poses[1].posed.angles["hip_left.flexion"]) < 12  # the body does not tip with it


def test_feet_step_apart_when_both_legs_are_stated_further_out():
    solved = _solved({"posture": "standing"}, {"joints": {"both": {"hip": {"abduction": 20}}}})
    assert {("right foot", "floor"), ("left foot", "floor")} <= _resting(solved)
    assert _errors(solved) == []
    assert (
        abs(solved.poses[1].posed.angles["hip_right.internal_rotation"]) < 5
    )  # no twist over feet that stay


def test_a_contact_that_opens_in_a_later_pose_is_told_there_and_its_way_out_opens_both_sides():
    limb = {"hip": {"flexion": 20}}
    knees = {"affected": {"knee": {"flexion": 60}}, "other": {"knee": {"flexion": 60}}}
    first = {
        "posture": "standing",
        "contacts": [{"part": "back", "on": "wall"}],
        "joints": {"affected": limb, "other": limb},
    }
    solved = _solved(first, {"joints": knees}, props=[{"kind": "wall", "behind": "pelvis"}])
    found, fix = _advised(solved)
    assert (found.code, found.path) == ("contact-open", ("poses", 1))
    changed = apply_fix(solved.spec, 1, fix)
    assert changed is not None
    assert _errors(solve_figure(FigureSpec.model_validate(changed))) == []
    assert changed["poses"][0]["joints"] == first["joints"]
    assert changed["poses"][1]["joints"] == knees


def test_a_way_out_changes_both_sides_alike_where_they_were_stated_alike():
    limb = {"hip": {"flexion": 0}, "knee": {"flexion": 90}}
    solved = _solved({"posture": "squat", "joints": {"affected": limb, "other": limb}})
    _, fix = _advised(solved)
    joints = apply_fix(solved.spec, 0, fix)["poses"][0]["joints"]
    assert joints.get("affected") == joints.get("other")


def test_many_earlier_angles_leave_trials_for_what_the_pose_states_itself():
    limb = {
        "hip": {"flexion": 20},
        "knee": {"flexion": 30},
        "ankle": {"dorsiflexion": 5},
        "shoulder": {"flexion": 10},
        "elbow": {"flexion": 20},
        "wrist": {"extension": 5},
    }
    solved = _solved(
        {"posture": "standing", "joints": {"affected": limb, "other": limb}},
        {
            "joints": {"affected": {"shoulder": {"flexion": 20}, "elbow": {"flexion": 0}}},
            "contacts": [{"part": "affected hand", "on": "head"}],
        },
    )
    found, fix = _advised(solved)
    assert found.path[:2] == ("poses", 1)
    assert fix.startswith(("leave out affected elbow flexion", "affected elbow flexion"))


def test_no_way_out_breaks_another_panel():
    """Whatever is advised for one panel, the errors of the figure after it are some of those before it."""
    advised = 0
    for first, later in (
        ({"hip": {"flexion": 20}}, {"knee": {"flexion": 60}}),
        ({"knee": {"flexion": 40}}, {"hip": {"flexion": 0}}),
        ({"hip": {"flexion": 60}}, {"knee": {"flexion": 0}}),
    ):
        back = {
            "posture": "standing",
            "contacts": [{"part": "back", "on": "wall"}],
            "joints": {"both": first},
        }
        solved = _solved(back, {"joints": {"both": later}}, props=[{"kind": "wall", "behind": "pelvis"}])
        was = {(one.code, one.path) for one in _errors(solved)}
        for one in solved.problems:
            _, _, fix = one.hint.partition("Tried, and it works: ")
            if fix:
                advised += 1
                changed = apply_fix(solved.spec, int(one.path[1]), fix.rstrip("."))
                after = {(p.code, p.path) for p in _errors(solve_figure(FigureSpec.model_validate(changed)))}
                assert after < was
    assert advised
