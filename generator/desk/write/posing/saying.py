"""Contacts, parts and ways out of findings on a figure, in the words of the page that poses it.

The figure's own findings speak to whoever writes YAML: `{part: back, on: floor}`, `open: affected hip`. Here they name
the lists and sliders of the page instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from limberleaf.desk.write.words import DeskWords
from limberleaf.diagrams.describing.describe import part_in_words
from limberleaf.diagrams.language.words import part_rows, prop_rows

_CONTACT = re.compile(r"`?\{part: (?P<part>[^,}]+), (?P<how>on|holding|release): (?P<place>[^,}]+)[^}]*\}`?")
_DIRECTION = re.compile(r"\{(?P<way>level|vertical|upright|lean): (?P<part>[^,}]+)(?P<rest>[^}]*)\}")
_OPEN = re.compile(r"`open: (?P<joint>[^`]+)`")
_ANGLE = re.compile(
    r"(?P<out>leave out )?(?:(?P<side>affected|other|both) )?(?P<joint>[a-z]+) (?P<motion>[a-z ]+?)"
    r"(?: (?P<new>\d+) instead of (?P<old>\d+))?"
)
_HEIGHT = re.compile(r" \(\d\.\d+ of body height\)")
_EARLIER = re.compile(r"or list what an earlier pose stated under `open`")


def part_words(name: str, words: DeskWords) -> str:
    """Give a part of the body, or a place, as the page calls it: “affected hand”, “de vloer”."""
    return _names(words).get(name, name)


@cache
def _names(words: DeskWords) -> dict[str, str]:
    """Give the page's names of parts with their sides and of places; in English most are called by their keys."""
    return dict(
        _named(words) if words.language != "en" else ((one, words.place(one)) for one in words.places())
    )


def _named(words: DeskWords) -> Iterator[tuple[str, str]]:
    sides = {side: words.script()[f"part_{side}"] for side in ("affected", "other")}
    for kind in prop_rows():
        yield kind.replace("_", " "), words.prop(kind).lower()
    for place in words.places():
        yield place, words.place(place)
    for part, row in part_rows().items():
        yield part, part_in_words(part, "", words.language, sides)
        for side in ("affected", "other", "both") if row.get("paired") else ():
            name = part_in_words(part, side, words.language, sides)
            yield f"{side} {part}", name
            if side == "both":
                yield f"both {row.get('plural', part + 's')}", name


def contact_words(part: str, how: str, place: str, words: DeskWords) -> str:
    """Say a contact as its line in the list does: “affected foot rests on floor”."""
    script = words.script()
    said = [part_words(part, words), script[f"touch_{how}"]]
    return " ".join(said if how == "release" else [*said, part_words(place, words)])


def plain(text: str, words: DeskWords) -> str:
    """Say a message or a hint without keys of contacts, lists that no page shows and shares of a body's height."""
    script = words.script()
    text = _HEIGHT.sub("", text)
    text = _EARLIER.sub(script["hint_open"], text)
    return _CONTACT.sub(lambda found: script["the_contact"].format(contact=_contact(found, words)), text)


def _contact(found: re.Match[str], words: DeskWords) -> str:
    return contact_words(found["part"], found["how"], found["place"], words)


def way_out(fix: str, words: DeskWords) -> str:
    """Say a way out as the page's own lists and sliders would: “Affected hip: out to the side 15° instead of 25°”."""
    script = words.script()
    if found := _OPEN.fullmatch(fix):
        return script["fix_open"].format(joint=joint_words(found["joint"], words))
    if found := _CONTACT.search(fix):
        return script["fix_leave_contact"].format(contact=_contact(found, words))
    if found := _DIRECTION.search(fix):
        way = "lean_back" if "back" in found["rest"] else found["way"]
        said = script[f"direction_{way}"]
        if found["way"] in ("level", "vertical"):
            said = f"{part_words(found['part'], words)} {said}"
        return script["fix_leave_contact"].format(contact=said)
    if found := _ANGLE.fullmatch(fix):
        motion = words.motion(found["motion"].replace(" ", "_"), found["joint"])
        angle = f"{joint_words(' '.join(filter(None, found.group('side', 'joint'))), words)}: {motion}"
        if found["out"]:
            return script["fix_free"].format(angle=angle)
        return script["fix_angle"].format(angle=angle, new=found["new"], old=found["old"])
    return fix


def joint_words(joint: str, words: DeskWords) -> str:
    """Give a joint with its side: “affected hip”, “hip (both sides)”."""
    side, _, name = joint.rpartition(" ")
    said = words.joint(name).lower()
    if side == "both":
        return f"{said} {words.script()['part_both']}"
    return f"{words.script()[f'part_{side}']} {said}" if side else said
