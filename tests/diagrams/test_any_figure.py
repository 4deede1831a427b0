"""Whatever an author writes that the language allows, the answer is a body and findings, never a traceback."""

import random

import numpy as np
import pytest
from pydantic import ValidationError

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import part_rows, posture_rows, prop_rows
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.solving.interpolate import between

MOTIONS = {
    "hip": ["flexion", "extension", "abduction", "external_rotation"],
    "knee": ["flexion"],
    "ankle": ["dorsiflexion", "plantarflexion"],
    "shoulder": ["flexion", "abduction", "external_rotation", "horizontal_adduction"],
    "elbow": ["flexion"],
    "wrist": ["extension"],
    "scapula": ["retraction"],
}


class Author:
    """Writes odd figures, the same ones every time."""

    def __init__(self, seed):
        self.random = random.Random(seed)  # noqa: S311 - the same odd figures every time

    def part(self):
        name = self.random.choice(sorted(part_rows()))
        paired = part_rows()[name].get("paired")
        return f"{self.random.choice(['affected', 'other', 'both'])} {name}" if paired else name

    def limb(self):
        joints = self.random.sample(sorted(MOTIONS), 2)
        return {j: {self.random.choice(MOTIONS[j]): self.random.choice([0, 20, 60, 120])} for j in joints}

    def contact(self):
        if self.random.random() < 0.3:
            return {"part": self.random.choice(["both hands", "affected hand"]), "holding": self.part()}
        places = ["floor", "wall", "chair seat", "step", "ball", "doorway", "stairs", self.part()]
        return {"part": self.part(), "on": self.random.choice(places)}

    def pose(self, first):
        out = {"joints": {self.random.choice(["affected", "other", "both"]): self.limb()}}
        if first or self.random.random() < 0.2:
            out["posture"] = self.random.choice(sorted(posture_rows()))
        out["contacts"] = [self.contact() for _ in range(self.random.choice([0, 1, 2]))]
        if self.random.random() < 0.3:
            out["directions"] = [self.random.choice([{"level": self.part()}, {"upright": "trunk"}])]
        return out

    def prop(self):
        place = self.random.choice(["under", "around", "in_front_of", "fixed_to"])
        return {"kind": self.random.choice(sorted(prop_rows())), place: self.part()}

    def figure(self):
        poses = [self.pose(first=True)] + [self.pose(first=False) for _ in range(self.random.choice([0, 1]))]
        return {"poses": poses, "props": [self.prop() for _ in range(self.random.choice([0, 1, 2]))]}


@pytest.mark.parametrize("seed", range(40))
def test_odd_figures_are_answered(seed):
    try:
        spec = FigureSpec.model_validate(Author(seed).figure())
    except ValidationError as error:
        pytest.fail(f"the author of this test wrote words the language refuses: {error}")
    figure = solve_figure(spec, "right" if seed % 2 else "left")
    for pose in figure.poses:
        assert np.isfinite(pose.posed.q).all()
        for motion, degrees in pose.stated.items():
            assert pose.posed.angles[motion] == pytest.approx(degrees, abs=0.011)
        closed = all(contact.error < 0.005 for contact in pose.contacts)
        reported = any(problem.code == "contact-open" for problem in figure.problems)
        assert closed or reported
    for before, after in zip(figure.poses, figure.poses[1:], strict=False):
        assert np.isfinite(between(before, after, 0.5).posed.q).all()
