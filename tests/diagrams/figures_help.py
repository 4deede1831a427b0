"""Shared by the tests of the body: figures from short mappings, and the forty hard poses."""

from functools import cache
from pathlib import Path

import yaml

from limberleaf.data_files import safe_load
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure

POSES = Path(__file__).parent / "poses"
GOLDEN = POSES / "angles"


@cache
def hard_pose(name):
    data = safe_load((POSES / f"{name}.yml").read_text(encoding="utf-8"))
    return data["name"], FigureSpec.model_validate(data["figure"])


def hard_pose_names():
    return sorted(path.stem for path in POSES.glob("*.yml"))


def solve(*poses, affected="right", **figure):
    return solve_figure(FigureSpec.model_validate({"poses": list(poses), **figure}), affected)


def codes(figure):
    return [problem.code for problem in figure.problems]


def golden_of(figure):
    """Return the angles in degrees of every pose, what is 0 left out, for the golden files."""
    return [
        {
            "posture": pose.posture,
            "angles": {
                name: round(value, 1)
                for name, value in sorted(pose.posed.angles.items())
                if not name.startswith("root.") and abs(value) >= 0.05
            },
            "pelvis": [round(float(v), 3) for v in pose.posed.points["pelvis_mid"]],
        }
        for pose in figure.poses
    ]


if __name__ == "__main__":  # rewrites the golden files; the change must be explained where it is committed
    GOLDEN.mkdir(exist_ok=True)
    for pose_name in hard_pose_names():
        solved = solve_figure(hard_pose(pose_name)[1], "right")
        text = yaml.safe_dump(golden_of(solved), sort_keys=False, width=110)
        (GOLDEN / f"{pose_name}.yml").write_text(text, encoding="utf-8")
