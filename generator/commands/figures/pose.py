"""`limberleaf pose`: what the solver did with the poses of a figure."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.figures.figure_shared import Side, adult_of, drawn, find_figure
from limberleaf.commands.shared import content_option, print_findings

if TYPE_CHECKING:
    from limberleaf.diagrams import SolvedFigure
    from limberleaf.diagrams.solving.solved import SolvedPose


@click.command(name="pose")
@click.argument("code")
@click.option("--side", type=click.Choice(["left", "right"]), help="The affected side (default: right).")
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@content_option
def command(code: str, side: Side | None, form: str, content: Path) -> None:
    """Print what the solver did with the figure of exercise CODE.

    For every pose: the angles you stated and those it chose, joints at a limit, each contact with how far it is off
    (in thousandths of body height, and for a body of 1.70 m), how far the mass centre is inside what supports the
    body; then the score of every view.
    """
    from limberleaf.checks.figures import problem_findings

    spec, source = find_figure(content, code)
    drawing = drawn(spec, side, adult_of(content, code))
    if form == "json":
        facts = {"poses": [_facts(pose) for pose in drawing.solved.poses], "view": drawing.camera.name}
        problems = [
            vars(one) | {"place": str(one.place)} for one in problem_findings(drawing.problems, source)
        ]
        click.echo(json.dumps({"code": code, **facts, "findings": problems}, indent=2, ensure_ascii=False))
        return
    for number, pose in enumerate(drawing.solved.poses, start=1):
        click.echo(f"Pose {number}: {pose.posture.replace('_', ' ')}, {pose.iterations} steps of the solver")
        _print_pose(pose)
    _print_views(drawing.solved, drawing.camera.name, drawing.camera.azimuth, drawing.camera.elevation)
    print_findings(problem_findings(drawing.problems, source), folder=content)


def _facts(pose: SolvedPose) -> dict[str, object]:
    """Give a pose for scripts: angles in degrees, distances in parts of the body's height."""
    return {
        "posture": pose.posture,
        "iterations": pose.iterations,
        "stated": {name: round(angle, 1) for name, angle in pose.stated.items()},
        "chosen": {name: round(angle, 1) for name, angle in pose.free.items()},
        "at_limit": list(pose.at_limit),
        "contacts": [
            {"part": one.part, "kind": one.kind, "place": one.place, "error": round(one.error, 5)}
            for one in pose.contacts
        ],
        "margin": None if pose.margin is None else round(pose.margin, 4),
    }


def _print_pose(pose: SolvedPose) -> None:
    for title, angles in (("stated", pose.stated), ("chosen", pose.free)):
        shown = ", ".join(f"{_plain(name)} {round(angle)}°" for name, angle in angles.items() if round(angle))
        click.echo(f"  {title}: {shown or 'none'}")
    click.echo(f"  at a limit: {', '.join(map(_plain, pose.at_limit)) or 'none'}")
    for contact in pose.contacts:
        cm = contact.error * 170
        verb = "holding" if contact.kind == "holding" else "on"
        click.echo(
            f"  {contact.part} {verb} {contact.place}: {contact.error * 1000:.1f}/1000 off ({cm:.1f} cm)"
        )
    if pose.margin is None:
        click.echo("  mass centre: nothing supports the body")
    else:
        where = "inside" if pose.margin >= 0 else "OUTSIDE"
        click.echo(f"  mass centre: {abs(pose.margin) * 170:.1f} cm {where} the support")


def _plain(name: str) -> str:
    """Say `knee_right.flexion` as a person would: right knee flexion."""
    joint, _, motion = name.partition(".")
    for side in ("left", "right"):
        if joint.endswith(f"_{side}"):
            joint = f"{side} {joint.removesuffix(f'_{side}')}"
    return f"{joint} {motion}".replace("_", " ").strip()


def _print_views(figure: SolvedFigure, name: str, azimuth: float, elevation: float) -> None:
    from limberleaf.diagrams.draw import SCALE
    from limberleaf.diagrams.scene.camera import candidates
    from limberleaf.diagrams.scene.view import figure_axes, score_views

    scores = score_views(figure, candidates(figure_axes(figure), SCALE))
    click.echo(f"Views (drawn: {name} {azimuth:g}/{elevation:g}):")
    for one in sorted(scores, key=lambda score: -score.score):
        camera = one.camera
        click.echo(f"  {one.score:6.3f}  {camera.name} {camera.azimuth:g}/{camera.elevation:g}")
