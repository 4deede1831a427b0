"""Alternative text composed from the pose itself: posture, props, what touches what, what moves from where to where.

The words of each language are in `data/words/<lang>.yml`; the sentences are the same facts the drawing shows, so that a
reader who cannot see the picture gets the exercise and not a remark that there is a picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from diagrams.body import SIDES, load_data, skeleton
from diagrams.solved import ContactReport, PlacedProp, SolvedFigure, SolvedPose
from diagrams.words import read_part

LEAST_CHANGE = 4.0
"""Degrees below which a change is not worth a sentence."""
MOST_SENTENCES = 4
LARGE_JOINTS = {"hip", "knee", "ankle", "shoulder", "elbow", "lumbar", "thoracic"}
"""Joints told of when the author stated none; the small ones only follow."""
WHOLE_BODY = 0.05
"""Rise of pelvis and head (H) that counts as the body rising."""


@cache
def languages() -> tuple[str, ...]:
    """Return the languages with figure words."""
    folder = files("diagrams").joinpath("data", "words")
    return tuple(
        sorted(item.name.removesuffix(".yml") for item in folder.iterdir() if item.name.endswith(".yml"))
    )


@cache
def _words(lang: str) -> dict[str, Any]:
    if lang not in languages():
        raise ValueError(f"no figure words for language {lang!r}; there are {', '.join(languages())}")
    return load_data(f"words/{lang}")


@dataclass(frozen=True)
class _Voice:
    """A language's words and the caller's words for the two sides."""

    words: Mapping[str, Any]
    affected: str
    side_words: Mapping[str, str]

    def side(self, side: str) -> str:
        """Return the caller's word for a real side."""
        return self.side_words["affected" if side == self.affected else "other"]

    def listed(self, items: list[str]) -> str:
        """Join items as the language does."""
        if len(items) < 2:
            return "".join(items)
        glue = self.words["list"]
        return str(glue["comma"].join(items[:-1]) + glue["and"] + items[-1])

    def sentence(self, text: str) -> str:
        """End a sentence and begin it with a capital; a side word that joins its noun does (linkerhand)."""
        for word in self.words.get("joined", ()):
            text = text.replace(f"{word} ", word)
        ended = self.words["sentence"].format(text=text)
        return str(ended[:1].upper() + ended[1:])


def describe(solved: SolvedFigure, lang: str, side_words: Mapping[str, str]) -> list[str]:
    """Return the alternative text of each panel.

    `side_words`: what to call the sides, such as {"affected": "sore", "other": "other"}. Raises ValueError for a
    language without words, listing those there are.
    """
    voice = _Voice(_words(lang), solved.affected, side_words)
    texts = [_start(solved, voice)]
    for before, after in zip(solved.poses[:-1], solved.poses[1:], strict=True):
        texts.append(_change(before, after, voice))
    felt = [_part_words(read_part(name).part, _sides(name, solved), voice) for name in solved.spec.highlight]
    if felt:
        texts[-1] += " " + voice.sentence(voice.words["highlight"].format(parts=voice.listed(felt)))
    return texts


def _sides(name: str, solved: SolvedFigure) -> list[str]:
    from diagrams.words import sides_of

    return list(sides_of(read_part(name).side, solved.affected, solved.lead))


def _start(solved: SolvedFigure, voice: _Voice) -> str:
    pose = solved.poses[0]
    text = voice.words["postures"][pose.posture]
    things = [_prop_words(prop, voice) for prop in pose.props if prop.path or not _said(prop, pose.posture)]
    things = [thing for thing in dict.fromkeys(things) if thing not in text]
    if things:
        text = voice.words["with"].format(posture=text, things=voice.listed(things))
    return " ".join([voice.sentence(text), *_contact_sentences(pose.contacts, (), voice)])


def _said(prop: PlacedProp, posture: str) -> bool:
    """Whether the posture's own words already name the prop."""
    return prop.kind in {"chair", "step", "worktop"} and posture != "standing"


def _prop_words(prop: PlacedProp, voice: _Voice) -> str:
    words = voice.words["props"]
    return str(words.get(f"{prop.kind}_{prop.form}", words[prop.kind]))


def _change(before: SolvedPose, after: SolvedPose, voice: _Voice) -> str:
    if after.posture != before.posture:
        return " ".join(
            [voice.sentence(voice.words["postures"][after.posture]), *_stated(before, after, voice)]
        )
    sentences = [voice.sentence(text) for text in _motion_texts(before, after, voice)]
    rise = [after.posed.points[p][1] - before.posed.points[p][1] for p in ("pelvis_mid", "head_centre")]
    if min(rise) > WHOLE_BODY:
        sentences.insert(0, voice.sentence(voice.words["rises"]))
    elif max(rise) < -WHOLE_BODY:
        sentences.insert(0, voice.sentence(voice.words["lowers"]))
    sentences += _contact_sentences(after.contacts, before.contacts, voice)
    return " ".join(sentences) or voice.sentence(voice.words["still"])


def _stated(before: SolvedPose, after: SolvedPose, voice: _Voice) -> list[str]:
    """Sentences for what the author said besides the new posture."""
    sentences = []
    if any(name in after.stated for name in after.moved):
        sentences += [voice.sentence(text) for text in _motion_texts(before, after, voice)]
    return sentences + _contact_sentences(after.contacts, before.contacts, voice)


@dataclass(frozen=True)
class _Turn:
    """One motion's change in clinical words: joint and word of the row, side, degrees before and after."""

    row: str
    side: str
    before: float
    after: float


def _turns(before: SolvedPose, after: SolvedPose) -> list[_Turn]:
    named = [name for name in after.moved if name in after.stated]
    names = named or sorted(
        (
            name
            for name in after.moved
            if name.split(".")[0].removesuffix("_left").removesuffix("_right") in LARGE_JOINTS
        ),
        key=lambda name: -abs(after.posed.angles[name] - before.posed.angles[name]),
    )
    motions = {motion.name: motion for motion in skeleton().motions}
    found: dict[tuple[str, str], _Turn] = {}
    for name in names:
        if name.startswith("root"):
            continue
        motion = motions[name]
        first, last = before.posed.angles[name], after.posed.angles[name]
        if abs(last - first) < LEAST_CHANGE:
            continue
        negative = last < -0.5 or (abs(last) <= 0.5 and first < 0)
        word = motion.opposite if negative else motion.word
        flip = -1.0 if negative else 1.0
        side = next((s for s in SIDES if motion.joint.endswith(f"_{s}")), "")
        joint = motion.joint.removesuffix(f"_{side}") if side else motion.joint
        for real in SIDES:
            if word.endswith(f"_{real}"):
                side, word = real, word.removesuffix(f"_{real}")
        key = (f"{'trunk' if joint in {'lumbar', 'thoracic'} else joint}.{word}", side)
        old = found.get(key)
        turn = _Turn(f"{joint}.{word}", side, first * flip, last * flip)
        if old:
            turn = _Turn(old.row, side, old.before + turn.before, old.after + turn.after)
        found[key] = turn
    return list(found.values())


def _motion_texts(before: SolvedPose, after: SolvedPose, voice: _Voice) -> list[str]:
    turns = _turns(before, after)
    texts: list[str] = []
    done: set[int] = set()
    for index, turn in enumerate(turns):
        if index in done:
            continue
        row = voice.words["motions"][turn.row]
        way = "more" if turn.after > turn.before else "less"
        twin = next(
            (
                i
                for i, other in enumerate(turns)
                if i > index
                and other.row == turn.row
                and {other.side, turn.side} == set(SIDES)
                and abs(other.after - turn.after) < 3
                and (other.after > other.before) == (turn.after > turn.before)
            ),
            None,
        )
        if twin is not None and f"both_{way}" in row:
            done.add(twin)
            motion = row[f"both_{way}"]
        else:
            motion = row[way].format(side=voice.side(turn.side) if turn.side else "")
        kind = "amount" if turn.before > -0.5 else "amount_to"
        texts.append(
            voice.words[kind].format(
                motion=motion, a=round(max(turn.before, 0.0)), b=round(max(turn.after, 0.0))
            )
        )
    return texts[:MOST_SENTENCES]


def _contact_sentences(
    contacts: tuple[ContactReport, ...], known: tuple[ContactReport, ...], voice: _Voice
) -> list[str]:
    """Say which parts newly touch or hold something the author named."""
    old = {(row.part, row.place, row.kind) for row in known}
    groups: dict[tuple[str, str, str], list[str]] = {}
    for row in contacts:
        if not row.author or (row.part, row.place, row.kind) in old:
            continue
        side, _, part = row.part.partition(" ")
        sides: list[str] = [side] if side in SIDES else []
        part = part if sides else row.part
        groups.setdefault((part, row.place, row.kind), []).extend(sides)
    sentences = []
    for (part, place, kind), which in groups.items():
        number = "both" if len(set(which)) == 2 else "one"
        parts = _part_words(part, which, voice)
        text = voice.words[f"contact_{kind}"][number].format(Parts=parts, place=_place_words(place, voice))
        sentences.append(voice.sentence(text))
    return sentences


def _part_words(part: str, sides: list[str], voice: _Voice) -> str:
    row = voice.words["parts"][part]
    if len(set(sides)) == 2 and "both" in row:
        return str(row["both"])
    return str(row["one"].format(side=voice.side(sides[0]) if sides else ""))


def _place_words(place: str, voice: _Voice) -> str:
    """Say a contact's place: the ground, a prop (`chair seat`), or a part in the author's words (`other knee`)."""
    words = voice.words
    if place in words["places"]:
        return str(words["places"][place])
    head, _, rest = place.partition(" ")
    if head in {"affected", "other"} and rest in words["parts"]:
        return str(words["parts"][rest]["one"].format(side=voice.side_words[head]))
    if head == "both" and rest in words["parts"]:
        return str(words["parts"][rest]["both"])
    if place in words["parts"]:
        return str(words["parts"][place]["one"].format(side=""))
    kind = place.replace(" ", "_")
    return str(words["props"].get(kind) or words["props"].get(kind.split("_")[0]) or place)
