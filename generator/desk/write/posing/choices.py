"""What a figure on the screen chooses from: postures, things and where they stand, views, parts, places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, get_args

from limberleaf.data_files import data_of
from limberleaf.desk.answers import Asked
from limberleaf.desk.write.form.fields import bare
from limberleaf.desk.write.posing.saying import joint_words, part_words
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.diagrams.language.spec import FigureSpec, Movement, PressWay, View
from limberleaf.diagrams.language.spec_joints import Limb
from limberleaf.diagrams.language.words import part_rows, posture_rows, prop_rows


def figure_words(asked: Asked) -> dict[str, Any]:
    """Give what the page chooses from: postures and props with their pictures, views, parts, places."""
    words = desk_words(str(asked.get("language") or "en"))
    postures = [
        [name, words.posture(name), f"assets/guide/postures-{name.replace('_', '-')}.svg"]
        for name in posture_rows()
    ]
    layout = posing_layout()
    props = [
        [
            name,
            words.prop(name),
            f"assets/guide/props-{name.replace('_', '-')}.svg",
            ways_of(name),
            layout["surfaces"].get(name, []),
        ]
        for name in prop_rows()
    ]
    surfaces = [one for own in layout["surfaces"].values() for one in own]
    places = ["floor", "wall", *surfaces, *(name.replace("_", " ") for name in prop_rows())]
    return {
        "postures": postures,
        "props": props,
        "views": [[one, words.option("view", one)] for one in get_args(View)],
        "parts": sorted(_parts(), key=lambda one: _GROUPS.index(one[1])),
        "called": {name: part_words(name, words) for name in [*(one[0] for one in _parts()), *places]},
        "joints_called": {
            f"{side} {joint}": joint_words(f"{side} {joint}", words)
            for joint in Limb.model_fields
            for side in ("affected", "other", "both")
        },
        "thing_places": layout["places"],
        "thing_options": {
            way: [[one, option_words(way, one, words)] for one in options]
            for way, options in layout["options"].items()
        },
        "near": layout["near"],
        "directions": layout["directions"],
        "places": list(dict.fromkeys(places)),
        "movements": [[one, words.option("movement", one)] for one in get_args(Movement)],
        "presses": [[one, words.option("press", one)] for one in get_args(PressWay)],
        "insets": [
            [one, words.option("inset", one)]
            for one in get_args(bare(FigureSpec.model_fields["inset"].annotation))
        ],
    }


@cache
def posing_layout() -> Mapping[str, Any]:
    """Read what can be chosen."""
    return dict(data_of("limberleaf.desk.write", "posing.yml"))


def ways_of(kind: str) -> list[str]:
    """Name the ways in which it can be said where a thing of a kind stands, the likeliest first."""
    layout = posing_layout()
    own: list[str] | None = layout["ways_of_kind"].get(kind)
    return own if own is not None else layout["ways"][prop_rows()[kind]["shape"]]


def option_words(way: str, value: str, words: DeskWords) -> str:
    """Give a choice of a thing's place in words: “the affected side”."""
    return words.script().get(f"thing_{way}_{value.replace(' ', '_')}", value)


_GROUPS = ("affected_leg", "affected_arm", "other_leg", "other_arm", "both_leg", "both_arm", "trunk")
_LIMBS = {"thigh": "leg", "shank": "leg", "foot": "leg", "toes": "leg"} | dict.fromkeys(
    ("upper_arm", "forearm", "hand", "fingers"), "arm"
)


def _parts() -> Iterator[tuple[str, str]]:
    """Give the parts of the body that can touch or be marked, each with the limb it is listed under."""
    for name, row in part_rows().items():
        limb = _LIMBS.get(row["samples"][0][0], "")
        for side in ("affected", "other", "both") if row.get("paired") else ("",):
            plural = row.get("plural", f"{name}s") if side == "both" else name
            yield f"{side} {plural}".strip(), f"{side}_{limb}" if side and limb else "trunk"
