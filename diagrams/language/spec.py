"""What an author may write under `figure:` in an entry.

The models double as JSON Schema, so every field explains itself. Sides are `affected` and `other`. A second pose states
only what changes. The joints are in `spec_joints.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from limberleaf.diagrams.language.spec_joints import Degrees, Joints, Limb, Model
from limberleaf.diagrams.language.words import (
    nearest,
    part_phrases,
    posture_rows,
    prop_rows,
    read_part,
)
from limberleaf.diagrams.sides import load_data

View = Literal["auto", "side", "front", "back", "above", "slant"]
SideChoice = Literal["affected", "other"]


def _part(text: str) -> str:
    read_part(text)
    return text


def _fixture(text: str) -> str:
    return text if text in ("wall", "door") else _part(text)


def _place(text: str) -> str:
    """Accept the floor, a prop (`chair seat`, `wall`, a prop's own name) or a part of the body."""
    return text.strip().lower()


def _posture(text: str) -> str:
    name = text.strip().lower().replace(" ", "_").replace("-", "_")
    if name not in posture_rows():
        raise ValueError(f"{text!r} is not a known posture.{nearest(name, sorted(posture_rows()))}")
    return name


def _prop_kind(text: str) -> str:
    name = text.strip().lower().replace(" ", "_").replace("-", "_")
    if name not in prop_rows():
        raise ValueError(f"{text!r} is not a known prop.{nearest(name, sorted(prop_rows()))}")
    return name


def _joint(text: str) -> str:
    """Accept a joint of an earlier pose that may move again: `affected hip`, `both elbows`, `trunk`."""
    words = text.lower().split()
    names = {*Limb.model_fields, "trunk", "lumbar", "thoracic", "neck", "pelvis"}
    plural = {f"{name}s": name for name in names}
    name = plural.get(words[-1], words[-1]) if words else ""
    sided = name in Limb.model_fields
    right_side = len(words) == 2 and words[0] in ("affected", "other", "both") if sided else len(words) == 1
    if name not in names or not right_side:
        example = "affected hip, both elbows, trunk"
        raise ValueError(f"{text!r} is not a joint that can be opened; write for example {example}")
    return f"{words[0]} {name}" if sided else name


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str | dict) else value


def _offer(names: Callable[[], list[str]]) -> Callable[[dict[str, Any]], None]:
    """Return what adds names for an editor to complete to a text's schema; other words stay allowed."""

    def add(schema: dict[str, Any]) -> None:
        schema["anyOf"] = [{"enum": names()}, {"type": schema.pop("type")}]

    return add


def _places() -> list[str]:
    kinds = [kind.replace("_", " ") for kind in sorted(prop_rows())]
    return ["floor", *kinds, "chair seat", "chair back", "chair arms", *part_phrases()]


Part = Annotated[
    str,
    AfterValidator(_part),
    Field(
        description="A part of the body with its side, such as `affected heel`, `both hands`, `pelvis`.",
        json_schema_extra=_offer(part_phrases),
    ),
]
Place = Annotated[
    str,
    AfterValidator(_place),
    Field(
        description="`floor`, a prop such as `wall` or `chair seat`, a prop's `name`, or a body part.",
        json_schema_extra=_offer(_places),
    ),
]
Fixture = Annotated[
    str,
    AfterValidator(_fixture),
    Field(description="`wall`, `door` or a part of the body with its side, such as `affected foot`."),
]
PostureName = Annotated[
    str,
    AfterValidator(_posture),
    Field(json_schema_extra=lambda schema: schema.update(enum=sorted(posture_rows()))),
]
PropKind = Annotated[
    str,
    AfterValidator(_prop_kind),
    Field(json_schema_extra=lambda schema: schema.update(enum=sorted(prop_rows()))),
]


class Contact(Model):
    """One part of the body that touches something, or lets go of it."""

    part: Part = Field(description="What touches, such as `both hands` or `affected heel`.")
    on: Place | None = Field(
        None, description="What it rests on: `floor`, `wall`, `chair seat`, `step`, `other knee` ..."
    )
    holding: Place | None = Field(
        None, description="What it grips: `other shin`, `stick`, `band` ... (hands only)."
    )
    behind: Part | None = Field(None, description="Where on that surface: behind this part.")
    in_front_of: Part | None = Field(None, description="Where on that surface: in front of this part.")
    beside: Part | None = Field(None, description="Where on that surface: beside this part.")
    under: Part | None = Field(None, description="Where on that surface: straight under this part.")
    distance: float | None = Field(
        None, ge=0, le=1, description="How far along, in body heights (rarely needed)."
    )
    release: bool = Field(False, description="true: the part leaves what it touched before.")

    @model_validator(mode="after")
    def _one_target(self) -> Contact:
        targets = [self.on is not None, self.holding is not None, self.release]
        if sum(targets) != 1:
            raise ValueError("a contact says one of: `on` something, `holding` something, `release: true`")
        return self


class Direction(Model):
    """One segment that points a given way in the room, whatever the joints make of it."""

    level: Part | None = Field(None, description="This part lies level, such as `affected thigh`.")
    vertical: Part | None = Field(None, description="This part stands straight up and down.")
    upright: Literal["trunk", "pelvis", "head"] | None = Field(None, description="The trunk stands tall.")
    lean: Literal["trunk"] | None = Field(None, description="The trunk leans; say how far and which way.")
    forward: Degrees | None = Field(None, description="With `lean`: degrees forward of upright.")
    back: Degrees | None = Field(None, description="With `lean`: degrees back of upright.")

    @model_validator(mode="after")
    def _one_direction(self) -> Direction:
        named = [x for x in (self.level, self.vertical, self.upright, self.lean) if x is not None]
        if len(named) != 1:
            raise ValueError("a direction says one of: level, vertical, upright, lean")
        ways = [x for x in (self.forward, self.back) if x is not None]
        if (self.lean is not None) != (len(ways) == 1):
            raise ValueError(
                "`lean: trunk` goes with `forward: degrees` or `back: degrees`, and only it does"
            )
        return self


class Prop(Model):
    """One thing besides the body. Without a place it goes where the posture needs it."""

    kind: PropKind = Field(description="What it is: chair, wall, step, towel, band ...")
    name: str | None = Field(None, description="Own name, when two of a kind are there.", max_length=40)
    form: Literal["flat", "rolled", "folded"] | None = Field(
        None, description="Towels: flat, rolled or folded."
    )
    under: Part | None = Field(None, description="It lies under this part.")
    behind: Part | None = Field(None, description="It stands behind this part.")
    in_front_of: Part | None = Field(None, description="It stands in front of this part.")
    beside: SideChoice | None = Field(None, description="It stands beside this side of the body.")
    between: Literal["knees", "thighs", "feet", "hands"] | None = Field(
        None, description="It is held between these."
    )
    around: Part | None = Field(None, description="Bands and straps: looped around this part.")
    held_by: Part | None = Field(None, description="The hand or hands that hold it.")
    fixed_to: Fixture | None = Field(
        None, description="Bands and straps: where the end that is not held is fixed."
    )
    edge: Part | None = Field(
        None,
        description="A bed: the part that lies at its edge, such as `both ankles`; what is further out hangs over.",
    )
    height: float | None = Field(
        None, gt=0, le=1.2, description="Height of its top in body heights, when the usual one does not fit."
    )

    @model_validator(mode="after")
    def _edge_of_a_bed(self) -> Prop:
        if self.edge is None:
            return self
        if self.kind != "bed":
            raise ValueError(f"`edge` goes with a bed: nothing is laid over the edge of a {self.kind} by it")
        limbs = load_data("limbs").values()
        at_edge = [part for limb in limbs for place in limb["places"][:-1] for part in place["parts"]]
        if read_part(self.edge).part not in at_edge:
            example = "both ankles or affected knee"
            raise ValueError(f"nothing hangs over an edge at {self.edge!r}; write for example {example}")
        return self


JointName = Annotated[str, AfterValidator(_joint)]
Movement = Literal["one_way", "to_and_fro", "round", "press", "hold", "rest"]
PressWay = Literal["down", "up", "forward", "back", "out", "in"]


class Pose(Model):
    """One panel. The first names a posture; later ones say only what changes."""

    posture: PostureName | None = Field(None, description="Named starting position.")
    lead: SideChoice | None = Field(
        None,
        description="The side in front (split stance, half kneeling), on the step, or on top (side lying).",
    )
    joints: Joints | None = Field(None, description="Joint angles that this pose is about.")
    contacts: list[Contact] = Field(default_factory=list, description="What touches what.", max_length=12)
    directions: list[Direction] = Field(
        default_factory=list, description="Parts that are level, vertical or upright.", max_length=8
    )
    open: Annotated[list[JointName], BeforeValidator(_as_list)] = Field(
        default_factory=list,
        description="Joints whose angle an earlier pose stated and that may now follow, such as `affected hip`.",
        max_length=8,
    )
    movement: Movement | None = Field(
        None,
        description="How it moves on the way to this panel, where that differs from the figure's `movement`.",
    )
    caption: str | None = Field(None, description="Words under this panel. May hold {affected} and {other}.")


class AngleMark(Model):
    """An angle printed at a joint."""

    joint: Part = Field(description="Where the number is printed, such as `affected knee`.")
    pose: int | None = Field(None, ge=1, le=4, description="Which panel; the last one when not given.")


def _angle(value: Any) -> Any:
    return {"joint": value} if isinstance(value, str) else value


def _arrow_part(text: str) -> str:
    return text if text == "none" else _part(text)


ArrowPart = Annotated[
    str,
    AfterValidator(_arrow_part),
    Field(description="A part of the body with its side, such as `affected heel`, or `none`."),
]


class FigureSpec(Model):
    """The drawing of one exercise: one panel for each pose."""

    view: View = Field("auto", description="Where it is seen from; `auto` chooses the clearest view.")
    props: list[Prop] = Field(default_factory=list, description="Things besides the body.", max_length=8)
    poses: list[Pose] = Field(description="Start, finish, and what is between.", min_length=1, max_length=4)
    arrow: Annotated[
        list[ArrowPart],
        BeforeValidator(_as_list, json_schema_input_type=ArrowPart | list[ArrowPart]),
    ] = Field(
        default_factory=list,
        description="The part whose movement gets an arrow, or `none`. Left out: the part that moves most.",
        max_length=2,
    )
    movement: Movement | None = Field(
        None,
        description="How it moves: one way, to and fro, round and round, pressing without moving, held still, or only "
        "laid there to rest. Left out, it is worked out from the poses.",
    )
    press: PressWay | None = Field(
        None,
        description="With `movement: press`: which way the part presses; down when left out. Forward and back are the "
        "body's own, out is away from its middle and in towards it.",
    )
    angle: Annotated[AngleMark, BeforeValidator(_angle, json_schema_input_type=Part | AngleMark)] | None = (
        Field(None, description="Print one joint's degrees in the picture.")
    )
    inset: Literal["trunk", "neck", "foot", "hand", "feet", "blades"] | None = Field(
        None,
        description="A second small view of what is hardly seen: trunk, neck, foot or hand enlarged, both feet from in "
        "front and above, or the shoulder blades from behind.",
    )
    highlight: Annotated[list[Part], BeforeValidator(_as_list, json_schema_input_type=Part | list[Part])] = (
        Field(default_factory=list, description="Where a stretch or a muscle is felt.", max_length=4)
    )

    @model_validator(mode="after")
    def _first_has_posture(self) -> FigureSpec:
        if self.poses[0].posture is None:
            raise ValueError("the first pose must name a posture, such as `posture: sitting`")
        return self

    @model_validator(mode="after")
    def _press_is_drawn(self) -> FigureSpec:
        if self.press and "press" not in (self.movement, *(pose.movement for pose in self.poses)):
            raise ValueError("`press` says which way a part presses: it goes with `movement: press`")
        middle = [part for part in self.arrow if part != "none" and " " not in part]
        if self.press in ("in", "out") and middle:
            raise ValueError(f"`press: {self.press}` needs a part with a side: {middle[0]} has no inner side")
        return self

    def words_of_body(self) -> str:
        """Return as JSON what decides the bodies and their picture: all but the captions."""
        return self.model_dump_json(exclude_unset=True, exclude={"poses": {"__all__": {"caption"}}})
