"""A step of a ladder whose pose asks less than the step before is reported; one that asks more in any joint is not.

Both steps have the same dose and kind, so that the pose alone decides. Poses are compared joint by joint, from the
drawn bodies; healthy sides differ by 5 degrees (Boyd & Villa 2012, BMC Musculoskelet Disord 13:245), so that less than
that counts as the same.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from limberleaf.checks.figures import pose_order
from limberleaf.checks.ladders import check_ladders
from limberleaf.figures import Figures
from limberleaf.findings import Finding
from limberleaf.library import load_library

KNEE = "affected: {knee: {flexion: 5}}"


@pytest.fixture(scope="module")
def figures() -> Figures:
    return Figures()


def step_findings(content: Path, figures: Figures, before: str, after: str) -> list[Finding]:
    """Give what is said when both steps are kn-02 with these joints in its second pose."""
    knee = content / "exercises/knee"
    text = (knee / "kn-02.yml").read_text("utf-8")
    assert KNEE in text
    first = text.replace("code: kn-02", "code: kn-01").replace("easier:", "harder:")
    (knee / "kn-01.yml").write_text(
        first.replace("kn-01, when", "kn-02, when").replace(KNEE, before), "utf-8"
    )
    (knee / "kn-02.yml").write_text(text.replace(KNEE, after), "utf-8")
    ladder = content / "ladders/knee-first-steps.yml"
    lines = ladder.read_text("utf-8").splitlines(keepends=True)
    ladder.write_text("".join(line for line in lines if "same_or_less_because" not in line), "utf-8")
    library = load_library(content)
    found = check_ladders(library, pose_order(library, figures))
    return [finding for finding in found if finding.code == "step-asks-less"]


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("affected: {knee: {flexion: 5}}", "affected: {knee: {flexion: 45}}", "pose less"),
        ("affected: {knee: {flexion: 45}}", "affected: {knee: {flexion: 5}}", None),
        ("affected: {knee: {flexion: 30}}", "affected: {knee: {flexion: 27}}", "pose same"),
        (
            "affected: {knee: {flexion: 10}, ankle: {dorsiflexion: 0}}",
            "affected: {knee: {flexion: 40}, ankle: {dorsiflexion: 15}}",
            None,
        ),
    ],
    ids=["one joint less", "one joint more", "within noise", "one joint less, another more"],
)
def test_a_step_is_reported_only_when_no_joint_asks_more(
    content: Path, figures: Figures, before: str, after: str, says: str | None
) -> None:
    found = step_findings(content, figures, before, after)
    assert len(found) == (0 if says is None else 1)
    for finding in found:
        assert says is not None
        assert says in finding.message
        assert finding.severity == "warning"
        assert finding.place.path.endswith("ladders/knee-first-steps.yml")
        assert finding.place.line
