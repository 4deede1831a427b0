"""What an author may write under `figure:` in an entry.

The models double as JSON Schema, so every field explains itself. Words are clinical, angles are degrees from
the anatomical position, sides are `affected` and `other`. A second pose states only what changes.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from diagrams.words import nearest, posture_rows, prop_rows, read_part

Degrees = Annotated[float, Field(ge=0, le=185)]
View = Literal["auto", "side", "front", "back", "above", "slant"]
SideChoice = Literal["affected", "other"]


def _part(text: str) -> str:
    read_part(text)
    return text


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


Part = Annotated[
    str,
    AfterValidator(_part),
    Field(description="A part of the body with its side, such as `affected heel`, `both hands`, `pelvis`."),
]
Place = Annotated[
    str,
    AfterValidator(_place),
    Field(description="`floor`, a prop such as `wall` or `chair seat`, a prop's `name`, or a body part."),
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


class Model(BaseModel):
    """Base: unknown keys are refused, values cannot be changed later."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Opposing(Model):
    """A joint whose motions come in pairs; stating both directions at once is refused."""

    @model_validator(mode="after")
    def _one_direction(self) -> Opposing:
        for one, two in _PAIRS:
            if getattr(self, one, None) is not None and getattr(self, two, None) is not None:
                raise ValueError(f"state {one} or {two}, not both: they are the same motion the other way")
        return self


_PAIRS = (
    ("flexion", "extension"),
    ("abduction", "adduction"),
    ("internal_rotation", "external_rotation"),
    ("horizontal_adduction", "horizontal_abduction"),
    ("dorsiflexion", "plantarflexion"),
    ("inversion", "eversion"),
    ("pronation", "supination"),
    ("radial_deviation", "ulnar_deviation"),
    ("elevation", "depression"),
    ("protraction", "retraction"),
    ("anterior_tilt", "posterior_tilt"),
    ("side_bend_affected", "side_bend_other"),
    ("rotation_affected", "rotation_other"),
    ("hitch_affected", "hitch_other"),
    ("side_bend", "side_bend_affected"),
    ("side_bend", "side_bend_other"),
    ("rotation", "rotation_affected"),
    ("rotation", "rotation_other"),
)


class Hip(Opposing):
    """Hip angles, thigh against pelvis."""

    flexion: Degrees | None = Field(None, description="Thigh forward; 90 = sitting upright.")
    extension: Degrees | None = Field(None, description="Thigh backward.")
    abduction: Degrees | None = Field(None, description="Thigh out to the side.")
    adduction: Degrees | None = Field(None, description="Thigh across the midline.")
    internal_rotation: Degrees | None = Field(None, description="Kneecap turned in.")
    external_rotation: Degrees | None = Field(None, description="Kneecap turned out.")


class Knee(Opposing):
    """Knee angle; 0 is straight."""

    flexion: Degrees | None = Field(None, description="Knee bent; 0 = straight, 90 = right angle.")
    extension: Degrees | None = Field(None, description="Only beyond straight (hyperextension).")


class Ankle(Opposing):
    """Ankle angles; 0 is the foot square to the shin."""

    dorsiflexion: Degrees | None = Field(None, description="Toes up towards the shin.")
    plantarflexion: Degrees | None = Field(None, description="Foot pointed down.")
    inversion: Degrees | None = Field(None, description="Sole turned in.")
    eversion: Degrees | None = Field(None, description="Sole turned out.")


class Toes(Opposing):
    """All toes together at their base joints."""

    flexion: Degrees | None = Field(None, description="Toes curled down.")
    extension: Degrees | None = Field(None, description="Toes bent up.")


class Scapula(Opposing):
    """Shoulder blade on the ribs."""

    elevation: Degrees | None = Field(None, description="Shoulder shrugged up.")
    depression: Degrees | None = Field(None, description="Shoulder drawn down.")
    protraction: Degrees | None = Field(None, description="Shoulder rounded forward.")
    retraction: Degrees | None = Field(None, description="Shoulder blade drawn back.")


class Shoulder(Opposing):
    """Upper arm against the trunk; 0 is hanging."""

    flexion: Degrees | None = Field(None, description="Arm forward and up; 90 = level in front.")
    extension: Degrees | None = Field(None, description="Arm backward.")
    abduction: Degrees | None = Field(None, description="Arm out to the side and up; 90 = level.")
    adduction: Degrees | None = Field(None, description="Arm across the body.")
    scaption: Degrees | None = Field(
        None, description="Arm up in the plane of the shoulder blade (35 forward)."
    )
    horizontal_adduction: Degrees | None = Field(
        None, description="With `abduction`: level arm carried forward from the side; 90 = straight ahead."
    )
    horizontal_abduction: Degrees | None = Field(
        None, description="With `abduction`: level arm carried backward from the side."
    )
    internal_rotation: Degrees | None = Field(None, description="Upper arm turned in (forearm to the belly).")
    external_rotation: Degrees | None = Field(None, description="Upper arm turned out (forearm away).")


class Elbow(Opposing):
    """Elbow angle; 0 is straight."""

    flexion: Degrees | None = Field(None, description="Elbow bent; 0 = straight.")
    extension: Degrees | None = Field(None, description="Only beyond straight.")


class Forearm(Opposing):
    """Turning of the forearm; 0 is thumb up."""

    pronation: Degrees | None = Field(None, description="Palm turned down.")
    supination: Degrees | None = Field(None, description="Palm turned up.")


class Wrist(Opposing):
    """Wrist angles."""

    flexion: Degrees | None = Field(None, description="Hand bent towards the palm.")
    extension: Degrees | None = Field(None, description="Hand bent back.")
    radial_deviation: Degrees | None = Field(None, description="Hand towards the thumb side.")
    ulnar_deviation: Degrees | None = Field(None, description="Hand towards the little finger side.")


class Fingers(Opposing):
    """All fingers together at their base joints."""

    flexion: Degrees | None = Field(None, description="Fingers closed; 90 = a fist.")
    extension: Degrees | None = Field(None, description="Fingers bent back.")


class Pelvis(Opposing):
    """Turn of the pelvis from the posture's own position."""

    anterior_tilt: Degrees | None = Field(None, description="Back hollows, front of the pelvis goes down.")
    posterior_tilt: Degrees | None = Field(None, description="Back flattens, tail tucks under.")
    hitch_affected: Degrees | None = Field(None, description="Affected side of the pelvis goes up.")
    hitch_other: Degrees | None = Field(None, description="Other side of the pelvis goes up.")
    rotation: Degrees | None = Field(None, description="Pelvis turns towards the affected side.")
    rotation_affected: Degrees | None = Field(None, description="Pelvis turns towards the affected side.")
    rotation_other: Degrees | None = Field(None, description="Pelvis turns towards the other side.")


class Spine(Opposing):
    """A part of the spine."""

    flexion: Degrees | None = Field(None, description="Bent forward, back rounded.")
    extension: Degrees | None = Field(None, description="Bent back, back hollowed.")
    side_bend: Degrees | None = Field(None, description="Bent to the affected side.")
    side_bend_affected: Degrees | None = Field(None, description="Bent to the affected side.")
    side_bend_other: Degrees | None = Field(None, description="Bent to the other side.")
    rotation: Degrees | None = Field(None, description="Turned to the affected side.")
    rotation_affected: Degrees | None = Field(None, description="Turned to the affected side.")
    rotation_other: Degrees | None = Field(None, description="Turned to the other side.")


class Neck(Spine):
    """Neck and head."""

    protraction: Degrees | None = Field(None, description="Chin poked forward.")
    retraction: Degrees | None = Field(None, description="Chin tucked, head drawn straight back.")


class Limb(Model):
    """Joints of one side."""

    scapula: Scapula | None = Field(None, description="Shoulder blade.")
    shoulder: Shoulder | None = Field(None, description="Upper arm against the trunk.")
    elbow: Elbow | None = None
    forearm: Forearm | None = None
    wrist: Wrist | None = None
    fingers: Fingers | None = None
    hip: Hip | None = None
    knee: Knee | None = None
    ankle: Ankle | None = None
    toes: Toes | None = None


class Joints(Model):
    """Joint angles in degrees. A stated angle is law: the solver never moves it."""

    affected: Limb | None = Field(None, description="Joints of the affected side.")
    other: Limb | None = Field(None, description="Joints of the other side.")
    both: Limb | None = Field(None, description="The same angles on both sides.")
    trunk: Spine | None = Field(
        None, description="Whole back: shared between the low back and the upper back."
    )
    lumbar: Spine | None = Field(None, description="Low back only.")
    thoracic: Spine | None = Field(None, description="Upper back only.")
    neck: Neck | None = None
    pelvis: Pelvis | None = None

    @model_validator(mode="after")
    def _trunk_or_parts(self) -> Joints:
        if self.trunk and (self.lumbar or self.thoracic):
            raise ValueError("state the trunk as a whole, or lumbar and thoracic apart, not both")
        return self


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
    fixed_to: Part | Literal["wall", "door"] | None = Field(
        None, description="Bands and straps: where the end that is not held is fixed."
    )
    height: float | None = Field(
        None, gt=0, le=1.2, description="Height of its top in body heights, when the usual one does not fit."
    )


JointName = Annotated[str, AfterValidator(_joint)]


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
    caption: str | None = Field(None, description="Words under this panel. May hold {affected} and {other}.")


class AngleMark(Model):
    """An angle printed at a joint."""

    joint: Part = Field(description="Where the number stands, such as `affected knee`.")
    pose: int | None = Field(None, ge=1, le=4, description="Which panel; the last one when not said.")


def _angle(value: Any) -> Any:
    return {"joint": value} if isinstance(value, str) else value


ArrowPart = Part | Literal["none"]


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
    angle: Annotated[AngleMark, BeforeValidator(_angle, json_schema_input_type=Part | AngleMark)] | None = (
        Field(None, description="Print one joint's degrees in the picture.")
    )
    inset: Literal["trunk", "neck", "foot", "hand"] | None = Field(
        None, description="An enlarged panel for a small movement."
    )
    highlight: Annotated[list[Part], BeforeValidator(_as_list, json_schema_input_type=Part | list[Part])] = (
        Field(default_factory=list, description="Where a stretch or a muscle is felt.", max_length=4)
    )

    @model_validator(mode="after")
    def _first_has_posture(self) -> FigureSpec:
        if self.poses[0].posture is None:
            raise ValueError("the first pose must name a posture, such as `posture: sitting`")
        return self
