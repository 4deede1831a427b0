"""The joints an author may state: clinical words, degrees from the anatomical position, sides affected and other."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

Degrees = Annotated[float, Field(ge=0, le=185)]


class Model(BaseModel):
    """Base: unknown keys are refused, values cannot be changed later."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Opposing(Model):
    """A joint whose motions come in pairs; stating both directions at once is refused."""

    @model_validator(mode="after")
    def _one_direction(self) -> Opposing:
        for one, two in PAIRS:
            if getattr(self, one, None) is not None and getattr(self, two, None) is not None:
                raise ValueError(f"state {one} or {two}, not both: they are the same motion the other way")
        return self


PAIRS = (
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
"""Motions of which a joint makes one at a time; the first of each pair counts as positive."""


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
