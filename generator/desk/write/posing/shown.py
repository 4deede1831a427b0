"""A figure as typed, solved and drawn, with all that sliders and handles need.

The writer works on the body whose affected side is the right one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from limberleaf.desk.answers import Asked
from limberleaf.desk.write.form.fields import typed
from limberleaf.desk.write.form.form_words import FormWords, form_words
from limberleaf.desk.write.posing.choices import posing_layout, ways_of
from limberleaf.desk.write.posing.handles import handles_of, touching
from limberleaf.desk.write.posing.joints import joints_of
from limberleaf.desk.write.posing.saying import plain, way_out
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError
from limberleaf.diagrams.adults import NEUTRAL, Adult
from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.describing.describe import describe
from limberleaf.diagrams.draw import Drawing, draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.remedies import apply_fix
from limberleaf.diagrams.solving.solved import Path, Problem, SolvedFigure
from limberleaf.library.models.exercise import drawn_as


def shown(asked: Asked) -> dict[str, Any]:
    """Solve and draw a figure as typed; its findings, joints and handles go with it.

    While something is being dragged (`live`) only its panel is drawn, into the picture of `rest`: the figure that was
    shown whole before.
    """
    spec = typed(FigureSpec, asked.get("figure")) or {}
    side: Side = "left" if asked.get("side") == "left" else "right"
    try:
        figure = figure_of(asked, spec)
    except ValidationError as error:
        said = form_words("exercise", desk_words(str(asked.get("language") or "en")))
        return {"problems": [_invalid(one, said) for one in error.errors(include_url=False)], "panels": []}
    if asked.get("live") and (at_rest := drawing_at_rest(asked)) is not None and side == "right":
        number = int(asked.get("panel") or 0)
        solved = solve_figure(figure, remedies=False, build=build_of(asked))
        if len(solved.poses) == len(at_rest.pictures) > number:
            return {"live": _panel(at_rest.with_changing(solved, number), number, "")}
    solved = solve_figure(figure, side, str(asked.get("captions") or "en"), build=build_of(asked))
    drawing = _drawn(asked, solved)
    alts = describe(solved, "en", {"affected": "affected", "other": "other"})
    words = desk_words(str(asked.get("language") or "en"))
    form = form_words("exercise", words)
    return {
        "problems": _problems(figure, drawing.problems, form, words),
        "panels": [_panel(drawing, number, alts[number], words) for number in range(len(solved.poses))],
        "joints": [
            list(joints_of(pose, spec["poses"][number], words)) for number, pose in enumerate(solved.poses)
        ],
    }


def figure_of(asked: Asked, spec: dict[str, Any]) -> FigureSpec:
    """Give a figure as typed as the kind of exercise draws it. Raises pydantic.ValidationError."""
    return drawn_as(str(asked.get("kind")), FigureSpec.model_validate(spec))


def drawing_at_rest(asked: Asked) -> Drawing | None:
    """Give the drawing that was shown whole last, which `rest` holds as a figure; None where there is none."""
    try:
        figure = figure_of(asked, typed(FigureSpec, asked.get("rest")) or {})
    except ValidationError:
        return None
    return _drawn(asked, solve_figure(figure, remedies=False, build=build_of(asked)))


def _drawn(asked: Asked, solved: SolvedFigure) -> Drawing:
    style = "print" if asked.get("grey") else "screen"
    skin = str(asked.get("skin") or NEUTRAL.skin)
    return draw_figure(solved, style=style, one_sided=asked.get("sides") != "both", skin=skin)


def build_of(asked: Asked) -> str:
    """Give the build of the body that is posed."""
    return str(asked.get("build") or NEUTRAL.build)


def _invalid(error: Mapping[str, Any], form: FormWords) -> dict[str, Any]:
    return {
        "loc": list(error["loc"]),
        "severity": "error",
        "code": "figure-not-whole",
        "message": form.say(str(error["msg"]).removeprefix("Value error, "), ("figure", *error["loc"])),
        "hint": "",
        "fix": "",
    }


def _problems(
    figure: FigureSpec, found: Sequence[Problem], form: FormWords, words: DeskWords
) -> list[dict[str, Any]]:
    """Give problems in the words of the form; other places of a thing stand with the first one it has."""
    told: list[dict[str, Any]] = []
    placed: set[int] = set()
    for one in _once(found):
        places: list[list[str]] = []
        if one.code in _NOWHERE and one.path[:1] == ("props",) and int(one.path[1]) not in placed:
            placed.add(int(one.path[1]))
            places = list(_places(figure, int(one.path[1]), found, words))
        told.append(_problem(figure, one, places, form, words))
    return told


def _problem(
    figure: FigureSpec, problem: Problem, places: list[list[str]], form: FormWords, words: DeskWords
) -> dict[str, Any]:
    """Give a problem in the words of the form; its way out is a button, so the hint does not say it again."""
    hint, _, fix = problem.hint.partition("Tried, and it works: ")
    fix = fix.rstrip(".")
    helps = bool(fix) and apply_fix(figure, int(problem.path[1]), fix) is not None
    loc = ("figure", *problem.path)
    return {
        "loc": list(problem.path),
        "severity": problem.severity,
        "code": problem.code,
        "message": form.say(plain(problem.message, words), loc),
        "hint": "" if places else form.say(plain(hint if helps else problem.hint, words), loc),
        "fix": fix if helps else "",
        "fix_says": way_out(fix, words) if helps else "",
        "places": places,
        "views": _views(figure, problem, words),
    }


def _views(figure: FigureSpec, problem: Problem, words: DeskWords) -> list[list[str]]:
    """Give the other ways to look at the figure where a finding asks for one, each in words with its name."""
    if "`view`" not in problem.hint:
        return []
    others = [one for one in ("side", "front", "slant", "back", "above") if one != figure.view]
    return [[words.script()["see_it"].format(view=words.option("view", one)), one] for one in others]


def _once(problems: Sequence[Problem]) -> list[Problem]:
    """Leave out that the place of a thing is a guess where another finding says that it has none."""
    nowhere = {one.path for one in problems if one.code == "prop-not-drawn"}
    return [one for one in problems if one.code != "prop-unused" or one.path not in nowhere]


_NOWHERE = frozenset({"prop-not-drawn", "prop-unused", "inside-prop", "prop-elsewhere"})
"""Findings that another place of a thing answers."""


def _places(
    figure: FigureSpec, number: int, found: Sequence[Problem], words: DeskWords
) -> Iterator[list[str]]:
    """Give places where a thing could stand instead, each in words with the key and the value that say it.

    Each was tried: nothing is wrong with the thing there, and nothing else of the figure that was not. A thing that
    somebody put where it stands is left there: what is wrong is the body in its way.
    """
    prop = figure.props[number]
    layout = posing_layout()
    if any(getattr(prop, way) is not None for way in ways_of(prop.kind)) and not any(
        one.code in ("prop-not-drawn", "prop-elsewhere") and one.path == ("props", number) for one in found
    ):
        return
    known = {(one.code, one.path) for one in found if one.severity == "error"}
    for way in ways_of(prop.kind):
        values = layout["options"].get(way, layout["places"][way][:1])
        offered = layout["offered"].get(way, values if way == "beside" else values[:1])
        for value in offered:
            put = words.put(way, value, prop.kind)
            if put and getattr(prop, way) != value and _fits(figure, number, {way: value}, known):
                yield [put, way, value]


def _fits(figure: FigureSpec, number: int, place: dict[str, str], known: set[tuple[str, Path]]) -> bool:
    """Say whether a figure is possible with one of its things put elsewhere, as far as it was without."""
    changed = figure.model_dump(exclude_unset=True, exclude_none=True)
    changed["props"][number] |= place
    try:
        found = solve_figure(FigureSpec.model_validate(changed), remedies=False).problems
    except ValidationError:
        return False
    wrong = {(one.code, one.path) for one in found if one.severity == "error"}
    return wrong <= known and not any(path[:2] == ("props", number) for _, path in wrong)


def _panel(drawing: Drawing, number: int, alt: str, words: DeskWords | None = None) -> dict[str, Any]:
    """Give a panel with its handles; with `words` each says what its end of the limb touches."""
    svg = drawing.panel_svg(number, title=alt, id_prefix=f"pose-{number}-")
    handles = list(handles_of(drawing, number))
    if words is not None:
        handles = [handle | touching(drawing.solved, number, handle["part"], words) for handle in handles]
    return {"svg": svg, "handles": handles}


def with_fix(asked: Asked) -> dict[str, Any]:
    """Take the way out that a finding advises, which the solver has tried, and show what comes of it."""
    spec = typed(FigureSpec, asked.get("figure")) or {}
    try:
        figure = FigureSpec.model_validate(spec)
        changed = apply_fix(figure, int(asked.get("panel") or 0), str(asked.get("fix") or ""))
    except (ValueError, IndexError):
        changed = None
    if changed is None:
        raise RefusedToWriteError("That way out is no longer there; the figure has changed.")
    return {**shown({**asked, "figure": changed}), "figure": changed}


def drawn_panels(figure: FigureSpec, adult: Adult, *, one_sided: bool) -> list[str]:
    """Draw the panels of a figure for the comparison of an approval, as SVG."""
    solved = solve_figure(figure, build=adult.build)
    drawing = draw_figure(solved, one_sided=one_sided, skin=adult.skin)
    alts = describe(solved, "en", {"affected": "affected", "other": "other"})
    return [drawing.panel_svg(number, title=alt) for number, alt in enumerate(alts)]
