"""Alternative text composed from the pose itself: posture, props, what touches what, what moves from where to where.

The words of each language are in `data/words/<lang>.yml`; the sentences are the same facts the drawing shows, so that a
reader who cannot see the picture gets the exercise and not a remark that there is a picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import SIDES, Side, load_data
from limberleaf.diagrams.describing.said_signs import said_signs
from limberleaf.diagrams.describing.turns import LEAST_LEAN, Turn, departures, lean, turns
from limberleaf.diagrams.language.words import opposite, read_part, sides_of
from limberleaf.diagrams.sides import languages
from limberleaf.diagrams.solving.solved import ContactReport, PlacedProp, SolvedFigure, SolvedPose

MOST_SENTENCES = 4
MOST_AT_START = 3
WHOLE_BODY = 0.05
"""Rise of pelvis and head (H) that counts as the body rising."""
HIPS = 0.02
"""Rise of the pelvis alone (H), of a body that lies, that counts as the hips lifting."""
RAISED = 0.1
"""Height (H) of what a body lies on above which that is no longer the floor."""
SEATED = {"sitting", "sitting_on_edge", "figure_four_sitting"}
LED = {"figure_four_sitting", "hugging_knee"}
SEATS = {"chair", "armchair", "wheelchair", "gym_ball", "stool", "bed"}
BETWEEN = {"knees": "knee", "thighs": "thigh", "feet": "foot", "hands": "hand"}


@cache
@cache
def _words(lang: str) -> dict[str, Any]:
    if lang not in languages():
        raise ValueError(f"no figure words for language {lang!r}; there are {', '.join(languages())}")
    return _completed(load_data(f"words/{lang}"), load_data("words/en"))


def _completed(own: Mapping[str, Any], english: Mapping[str, Any]) -> dict[str, Any]:
    """Give a language's words, with the English ones for what it does not say yet."""
    return {
        name: _completed(own.get(name, {}), phrase) if isinstance(phrase, Mapping) else own.get(name, phrase)
        for name, phrase in {**own, **english}.items()
    }


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

    def oblique(self, part: str) -> str:
        """Return a part as it is written after a preposition, where the language changes its end (Arabic duals)."""
        end, other = self.words.get("oblique", ("", ""))
        return part.removesuffix(end) + str(other) if end and part.endswith(end) else part

    def sentence(self, text: str) -> str:
        """End a sentence and begin it with a capital; a side word that joins its noun does (linkerhand)."""
        for word in self.words.get("joined", ()):
            text = text.replace(f"{word} ", word)
        ended = self.words["sentence"].format(text=text)
        return str(ended[:1].upper() + ended[1:])


def describe(
    solved: SolvedFigure, lang: str, side_words: Mapping[str, str], *, in_turn: bool = False
) -> list[str]:
    """Return the alternative text of each panel. `in_turn`: whether the other side is to be done afterwards.

    `side_words`: what to call the sides, such as {"affected": "sore", "other": "other"}. Raises ValueError for a
    language without words, listing those there are.
    """
    voice = _Voice(_words(lang), solved.affected, side_words)
    texts = [_start(solved, voice)]
    texts += [_change(solved, number, voice) for number in range(1, len(solved.poses))]
    felt = [
        voice.oblique(_part_words(read_part(name).part, _sides(name, solved), voice))
        for name in solved.spec.highlight
    ]
    texts = [
        " ".join([text, *_sign_sentences(solved, number, voice, in_turn=in_turn)])
        for number, text in enumerate(texts)
    ]
    if felt:
        texts[-1] += " " + voice.sentence(voice.words["highlight"].format(parts=voice.listed(felt)))
    return texts


def _sign_sentences(solved: SolvedFigure, number: int, voice: _Voice, *, in_turn: bool) -> list[str]:
    """Say what the signs of a panel say of how it moves, or that it does not."""
    sentences = []
    for sign, names in said_signs(solved, number, in_turn=in_turn):
        row = voice.words["signs"][sign]
        if isinstance(row, str):
            sentences.append(voice.sentence(row))
            continue
        named = [(read_part(name).part, _sides(name, solved)) for name in names]
        text = voice.listed([_part_words(part, sides, voice) for part, sides in named])
        many = len(named) > 1 or any(
            len(sides) == 2 or voice.words["parts"][part].get("many") for part, sides in named
        )
        which = ("both" if many else "one") if named else "whole"
        sentences.append(voice.sentence(row[which].format(Parts=text)))
    return sentences


def _sides(name: str, solved: SolvedFigure) -> list[str]:
    return list(sides_of(read_part(name).side, solved.affected, solved.lead))


def _start(solved: SolvedFigure, voice: _Voice) -> str:
    pose = solved.poses[0]
    text = _posture_words(solved, 0, voice)
    bed = next((prop for prop in pose.props if prop.kind == "bed" and pose.ground > RAISED), None)
    if bed:
        text = voice.words["lying_on"].format(posture=text, thing=_prop_words(bed, voice))
    things = [
        _prop_words(prop, voice)
        for prop in pose.props
        if prop.path or not _named_by_posture(prop, pose.posture)
    ]
    things = [thing for thing in dict.fromkeys(things) if thing not in text]
    if things:
        text = voice.words["with"].format(posture=text, things=voice.listed(things))
    sentences = [voice.sentence(text)]
    leaning = lean(pose)
    if _leans(solved, 0) and leaning >= LEAST_LEAN:
        sentences.append(_lean_sentence(0.0, leaning, voice))
    sentences += [voice.sentence(text) for text in _motion_texts(departures(solved), voice, start=True)]
    sentences += _held_sentences(solved, voice)
    return " ".join([*sentences, *_contact_sentences(pose, (), voice)])


def _posture_words(solved: SolvedFigure, number: int, voice: _Voice) -> str:
    """Say a posture with the side it has: which foot is in front, which side lies below."""
    pose = solved.poses[number]
    words, points = voice.words["postures"], pose.posed.points
    name = pose.posture
    side: Side | None = None
    forward = pose.posed.frames["pelvis"][:, 0]
    if name in {"split_stance", "semi_tandem_stance", "tandem_stance", "half_kneeling"}:
        side = max(SIDES, key=lambda one: float(points[f"ankle_{one}"] @ forward))
    elif name == "step_standing":
        on_step = [row.part for row in pose.contacts if row.place == "step"]
        side = next((one for one in SIDES if any(part.startswith(one) for part in on_step)), solved.lead)
        if all(any(part.startswith(one) for part in on_step) for one in SIDES):
            name = "on_step"
    elif pose.base_name.endswith("_side"):
        side = "left" if pose.base_name == "left_side" else "right"
    elif name in LED:
        side = solved.lead
    elif name == "side_sitting":
        side = min(SIDES, key=lambda one: float(points[f"hip_{one}"][1]))
    elif name == "standing" and number == 0 and _leans(solved, 0) and lean(pose) >= LEAST_LEAN:
        name = "standing_leaning"
    front, back = (voice.side(side), voice.side(opposite(side))) if side else ("", "")
    text = str(words[name].format(side=front, back=back))
    seats = [prop.kind for prop in pose.props if prop.kind in SEATS]
    if name in SEATED and seats and seats[0] != "chair":
        text = text.replace(voice.words["props"]["chair"], voice.words["props"][seats[0]])
    return text


def _named_by_posture(prop: PlacedProp, posture: str) -> bool:
    """Whether the posture's own words already name the prop."""
    return prop.kind in {"chair", "step", "worktop", "backrest"} and posture != "standing"


def _prop_words(prop: PlacedProp, voice: _Voice) -> str:
    """Say a prop; one that an author gave the name of another (a table used as a bed) is that other."""
    words = voice.words["props"]
    named = prop.name.lower().replace(" ", "_")
    other = words.get(named) if named != prop.kind else None
    return str(other or words.get(f"{prop.kind}_{prop.form}") or words[prop.kind])


def _leans(solved: SolvedFigure, number: int) -> bool:
    return any(direction.lean for direction in solved.spec.poses[number].directions)


def _lean_sentence(before: float, after: float, voice: _Voice) -> str:
    way = "more" if after > before else "less"
    text = voice.words["trunk"]["lean"][way]
    if way == "more":
        text = voice.words["amount_to"].format(motion=text, b=round(after))
    return voice.sentence(text)


def _held_sentences(solved: SolvedFigure, voice: _Voice) -> list[str]:
    """Say what a band goes round, what is squeezed between the limbs and what the hands hold."""
    words, sentences = voice.words, []
    described = {row.place for row in solved.poses[0].contacts if row.author and row.kind == "holding"}
    for prop in solved.spec.props:
        named = prop.name or prop.kind.replace("_", " ")
        thing = _place_words(named.lower(), voice)
        parts = [(key, name) for key, name in (("around", prop.around), ("held", prop.held_by)) if name]
        for key, name in parts:
            sides = _sides(name, solved)
            text = _part_words(read_part(name).part, sides, voice)
            if key == "around":
                sentences.append(
                    voice.sentence(words["around"].format(Thing=thing, parts=voice.oblique(text)))
                )
            elif named not in described:
                number = "both" if len(sides) == 2 else "one"
                held = words["contact_holding"][number].format(Parts=text, place=thing)
                sentences.append(voice.sentence(held))
        if prop.between:
            text = _part_words(BETWEEN[prop.between], list(SIDES), voice)
            sentences.append(voice.sentence(words["between"].format(Thing=thing, parts=voice.oblique(text))))
    return sentences


def _change(solved: SolvedFigure, number: int, voice: _Voice) -> str:
    before, after = solved.poses[number - 1], solved.poses[number]
    if after.posture != before.posture:
        stated = any(name in after.stated for name in after.moved)
        sentences = [voice.sentence(_posture_words(solved, number, voice))]
        if stated:
            sentences += [voice.sentence(text) for text in _motion_texts(turns(before, after), voice)]
        return " ".join(sentences + _contact_sentences(after, before.contacts, voice))
    sentences = _whole_body(solved, number, voice)
    sentences += [voice.sentence(text) for text in _motion_texts(turns(before, after), voice)]
    sentences += _contact_sentences(after, before.contacts, voice)
    return " ".join(sentences) or voice.sentence(voice.words["still"])


def _whole_body(solved: SolvedFigure, number: int, voice: _Voice) -> list[str]:
    """Say that the body rises or sinks, that the hips of a lying body lift, or that the trunk leans."""
    before, after = solved.poses[number - 1], solved.poses[number]
    words, sentences = voice.words, []
    pelvis, head = (
        float(after.posed.points[p][1] - before.posed.points[p][1]) for p in ("pelvis_mid", "head_centre")
    )
    upright = after.base_name == "upright"
    if min(pelvis, head) > WHOLE_BODY:
        sentences.append(voice.sentence(words["rises"]))
    elif max(pelvis, head) < -WHOLE_BODY:
        sentences.append(voice.sentence(words["lowers"]))
    elif not upright and abs(pelvis) > HIPS and after.base_name != "prone":
        sentences.append(voice.sentence(words["hips_rise" if pelvis > 0 else "hips_lower"]))
    first, last = lean(before), lean(after)
    if upright and _leans(solved, number) and abs(last - first) >= LEAST_LEAN:
        sentences.append(_lean_sentence(first, last, voice))
    return sentences


def _motion_texts(turns: list[Turn], voice: _Voice, *, start: bool = False) -> list[str]:
    """Say what each motion does; at the start only its angle."""
    texts: list[str] = []
    done: set[int] = set()
    for index, turn in enumerate(turns):
        if index in done:
            continue
        row = voice.words["motions"].get(turn.row) or voice.words["trunk"][turn.row.partition(".")[2]]
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
        kind = "amount" if turn.before > -0.5 and not start else "amount_to"
        texts.append(
            voice.words[kind].format(
                motion=motion, a=round(max(turn.before, 0.0)), b=round(max(turn.after, 0.0))
            )
        )
    return texts[: MOST_AT_START if start else MOST_SENTENCES]


def _contact_sentences(pose: SolvedPose, known: tuple[ContactReport, ...], voice: _Voice) -> list[str]:
    """Say which parts newly touch or hold something the author named; parts in one place share a sentence."""
    old = {(row.part, row.place, row.kind) for row in known}
    groups: dict[tuple[str, str], dict[str, list[str]]] = {}
    for row in pose.contacts:
        # The hands on a worktop are part of the posture, but its name does not say them.
        worth_saying = row.author or (row.place == "worktop" and "hand" in row.part)
        if not worth_saying or (row.part, row.place, row.kind) in old:
            continue
        side, _, part = row.part.partition(" ")
        sides: list[str] = [side] if side in SIDES else []
        part = part if sides else row.part
        place = "bed" if row.place == "ground" and pose.ground > RAISED else row.place
        groups.setdefault((place, row.kind), {}).setdefault(part, []).extend(sides)
    sentences = []
    for (place, kind), parts in groups.items():
        named = [_part_words(part, which, voice) for part, which in parts.items()]
        many = len(parts) > 1 or any(
            len(set(which)) == 2 or voice.words["parts"][part].get("many") for part, which in parts.items()
        )
        text = voice.words[f"contact_{kind}"]["both" if many else "one"]
        text = text.format(Parts=voice.listed(named), place=_place_words(place, voice))
        sentences.append(voice.sentence(text))
    return sentences


def _part_words(part: str, sides: list[str], voice: _Voice) -> str:
    row = voice.words["parts"][part]
    if len(set(sides)) == 2 and "both" in row:
        return str(row["both"])
    return str(row["one"].format(side=voice.side(sides[0]) if sides else ""))


def part_in_words(part: str, side: str, lang: str, side_words: Mapping[str, str]) -> str:
    """Return a part of the body by itself, without “your”: “affected hand”, “beide handen”.

    `side` is affected, other, both or "" for a part of the middle; ValueError for a language figures do not speak.
    """
    words = _words(lang)
    row = words["parts"][part]
    if side == "both" and "both" in row:
        return str(row["both"])
    said = str(row["one"].format(side=side_words.get(side, "")))
    return " ".join(said.removeprefix(f"{words['your']} ").split())


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
