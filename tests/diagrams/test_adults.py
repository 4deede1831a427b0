"""The other neutral adults: same poses, other bodies and tones, and every sign still read."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from drawing_help import KNEE, demo, image, solved
from scipy.spatial import ConvexHull

from limberleaf.checks.texts import NOT_READ
from limberleaf.data_files import safe_load
from limberleaf.diagrams import Drawing, FigureSpec, draw_figure, solve_figure
from limberleaf.diagrams.adults import NEUTRAL, Adult, adult_for, build_names, skin_names, with_build
from limberleaf.diagrams.body.kinematics import posed_from_angles
from limberleaf.diagrams.picture.style import PRINT, style_of
from limberleaf.diagrams.surface.carriers import straight_and_flat
from limberleaf.diagrams.surface.mesh import pieces, vertices
from limberleaf.figures import AnimationRequest, FigureRequest, draw_requested
from limberleaf.library.colour import contrast
from limberleaf.library.models.clinic import DrawnAdults

OTHERS = [name for name in build_names() if name != "average"]
TONES = skin_names()
HARD = ["ankle/an-01", "whole_body/ba-07", "low_back/lb-03", "low_back/lb-04", "low_back/lb-08", "low_back/lb-09",
        "neck/ne-03"]  # fmt: skip
"""Exercises where a stouter or slimmer body was once solved into something, or drawn out of sight."""
CONTENT = Path(__file__).parents[2] / "content" / "exercises"


@cache
def spec_of(name: str) -> FigureSpec:
    return FigureSpec.model_validate(
        safe_load((CONTENT / f"{name}.yml").read_text(encoding="utf-8"))["figure"]
    )


@cache
def upright(build: str) -> np.ndarray:
    with with_build(build):
        return vertices(posed_from_angles({}), straight_and_flat())


def waist_girth(build: str) -> float:
    """Measure round the waist as a tape does: the convex outline of a level slice of the trunk, in H."""
    with with_build(build):
        trunk = next(piece.points for piece in pieces() if piece.name == "trunk")
    ring = trunk[np.abs(trunk[:, 0, 1] - 0.63).argmin()]
    return float(ConvexHull(ring[:, [0, 2]]).area)  # of a plane figure scipy calls the outline its area


def knee(adult: Adult, style: str = "screen") -> Drawing:
    figure = solve_figure(FigureSpec.model_validate(KNEE), build=adult.build)
    return draw_figure(figure, style=style, skin=adult.skin)


@pytest.mark.parametrize("build", OTHERS)
@pytest.mark.parametrize("name", HARD)
def test_a_build_brings_no_finding(name: str, build: str) -> None:
    drawing = draw_figure(solve_figure(spec_of(name), build=build))
    assert drawing.problems == draw_figure(solve_figure(spec_of(name))).problems


@pytest.mark.parametrize("build", OTHERS)
def test_stated_angles_are_the_same_for_every_build(build: str) -> None:
    for one, other in zip(
        demo("sit-to-stand").poses, solve_figure(demo("sit-to-stand").spec, build=build).poses, strict=True
    ):
        assert {name: one.posed.angles[name] for name in one.stated} == pytest.approx(
            {name: other.posed.angles[name] for name in other.stated}
        )
        assert max(contact.error for contact in other.contacts) < 0.005


def test_waists_are_those_of_the_survey() -> None:
    # ANSUR II (US Army, 2012): mean and standard deviation of the waist, men 941 (112) mm, women 861 (100) mm, from
    # memory; the 5th and 95th percentiles of a normal distribution lie 1.645 deviations off.
    share = 1.645 * np.mean([112 / 941, 100 / 861])
    average = waist_girth("average")
    assert waist_girth("larger") / average == pytest.approx(1 + share, abs=0.04)
    assert waist_girth("smaller") / average == pytest.approx(1 - share, abs=0.06)
    assert average < waist_girth("older") < waist_girth("larger")


def test_a_build_stands_as_tall_and_leaves_the_other_builds_alone() -> None:
    before = upright("average").copy()
    for build in OTHERS:
        assert upright(build)[:, 1].max() == pytest.approx(before[:, 1].max(), abs=1e-9)
        assert upright(build)[:, 1].min() == pytest.approx(before[:, 1].min(), abs=1e-9)
    with with_build("larger"), pytest.raises(KeyError), with_build("giant"):
        pass
    assert (vertices(posed_from_angles({}), straight_and_flat()) == before).all()


@pytest.mark.parametrize("skin", TONES)
def test_signs_are_read_on_every_tone(skin: str) -> None:
    # WCAG 2.2, 1.4.11: what is needed to understand a picture has a contrast of 3 with what is next to it; contrast
    # goes by lightness alone and so holds in a grey copy. The tint is a plane with a line round it: 2 (common practice,
    # no source).
    tones = style_of("screen", Adult("average", skin))
    assert contrast(tones.ink, tones.skin) >= 3
    assert contrast(tones.ink, tones.affected) >= 3
    assert contrast(tones.affected, tones.skin) >= 2
    assert contrast(tones.felt, tones.skin) >= 3
    assert contrast(tones.felt, tones.affected) >= 3, "most dots lie on the affected limb"
    assert contrast(tones.arrow, "#ffffff") >= 4.5, "arrows have a white edge of their own"


@pytest.mark.parametrize("skin", TONES)
def test_the_affected_leg_stands_out_in_a_small_grey_picture(skin: str) -> None:
    tones = style_of("screen", Adult("average", skin))
    grey = image(knee(Adult("average", skin)).png(150, panel=1))
    levels = [
        round(sum(w * int(c[i : i + 2], 16) for w, i in ((0.299, 1), (0.587, 3), (0.114, 5))))
        for c in (tones.skin, tones.affected)
    ]
    seen = [int((abs(grey - level) <= 3).sum()) for level in levels]
    assert abs(levels[0] - levels[1]) >= 55, "a fifth of all greys apart (common practice, no source)"
    assert min(seen) > 40


@pytest.mark.parametrize(("build", "skin"), [*product(["average", "larger"], TONES)])
def test_paper_keeps_white_skin(build: str, skin: str) -> None:
    if build == "average":
        assert style_of("print", Adult(build, skin)) == PRINT
    assert knee(Adult(build, skin), "print").svg() == knee(Adult(build, "plain"), "print").svg()


def test_adults_are_spread_over_codes_and_stay_with_them() -> None:
    codes = [f"{area}-{number:02d}" for area in ("kn", "sh", "lb") for number in range(1, 41)]
    chosen = {code: adult_for(code, build_names(), TONES) for code in codes}
    assert Counter(one.build for one in chosen.values()).most_common()[-1][1] > 15
    assert len(set(chosen.values())) > 12
    assert {code: adult_for(code, build_names(), TONES) for code in reversed(codes)} == chosen
    assert adult_for("kn-03", ["average"], ["plain"]) == NEUTRAL


def test_motion_and_the_panel_under_the_hand_show_the_same_adult() -> None:
    larger = knee(Adult("larger", "dark"))
    assert "#96623f" in larger.motion_svg()
    assert "#96623f" in larger.with_changing(larger.solved, 1).panel_svg(1)
    assert knee(NEUTRAL).svg() == draw_figure(solved(KNEE)).svg()


def test_a_clinic_may_name_every_adult_and_its_figures_are_drawn_anew() -> None:
    both = DrawnAdults.model_validate({"build": list(build_names()), "skin": "dark"})
    assert (both.build, both.skin) == (list(build_names()), ["dark"])
    assert DrawnAdults.model_validate({"skin": list(TONES)}).skin == list(TONES)
    assert DrawnAdults().adult_for("kn-03") == NEUTRAL
    spec = FigureSpec.model_validate(KNEE).model_dump_json(exclude_defaults=True)
    plain = FigureRequest(spec, "right", "en", "sore", "other", "kn-03-")
    dark = replace(plain, build="larger", skin="dark")
    assert len({plain.key, dark.key, replace(plain, build="larger").key}) == 3
    assert AnimationRequest(spec, "right").key != AnimationRequest(spec, "right", skin="dark").key
    assert "#96623f" in draw_requested(dark)["svgs"][0]
    assert "#96623f" not in draw_requested(plain)["svgs"][0]


def test_names_of_adults_are_no_words_that_patients_read() -> None:
    assert {"build", "skin"} <= NOT_READ, "a list of them is no sentence that a comma cut in two"
