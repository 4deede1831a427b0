"""More slips: figures against words, lines in the wrong list, words for numbers, sentences cut short, prose pages.

As in `planted.py`, a maker gets an entry as plain data and gives changed copies; nothing here knows the checks.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator

from entry_data import Data, has, put, sentences

Maker = Callable[[Data, str, str], Iterator[tuple[str, Data]]]

DIGITS = {
    "en": {"2": "four", "3": "six", "5": "ten", "10": "thirty", "12": "twenty", "20": "ninety"},
    "nl": {"2": "vier", "3": "zes", "5": "tien", "10": "dertig", "12": "twintig", "20": "negentig"},
    "ar": {"2": "أربع", "3": "ست", "5": "عشر", "10": "ثلاثين", "12": "عشرين", "20": "خمسين"},
}
UNITS = {
    "en": [
        ("seconds", "minutes"),
        ("minutes", "hours"),
        ("days", "weeks"),
        ("weeks", "months"),
        ("minute", "hour"),
    ],
    "nl": [
        ("seconden", "minuten"),
        ("minuten", "uren"),
        ("dagen", "weken"),
        ("weken", "maanden"),
        ("minuut", "uur"),
    ],
    "ar": [("دقيقة", "ساعة"), ("أيام", "أسابيع"), ("دقائق", "ساعات")],
}
SPOKEN = {
    "en": [
        "Hold while you count to ninety.",
        "Do this fifty times.",
        "Do it every hour, all day.",
        "Rest for an hour.",
    ],
    "nl": ["Tel rustig tot negentig.", "Doe dit vijftig keer.", "Doe dit elk uur, de hele dag."],
    "ar": ["عُدّ حتى خمسين.", "كرر خمسين مرة."],
}
UNSTEADY = {"worktop": "A chair on wheels.", "wall": "A broom or an umbrella.", "step": "A stool or a box."}
OTHER_HALF = re.compile(r"[,،] |\. (?=\w)| and | en | of | or | أو ")


def figure_sides(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """Things, colours and arrows on the other limb; joints turned; poses reversed."""
    if folder != "exercises" or not has(data, "figure", "poses"):
        return
    figure, other = data["figure"], {"affected": "other", "other": "affected"}
    for index, prop in enumerate(figure.get("props", [])):
        for key in ("around", "under"):
            side, _, part = str(prop.get(key, "")).partition(" ")
            if side in other:
                yield (
                    f"{prop['kind']} {key} {other[side]}",
                    put(data, ("figure", "props", index, key), f"{other[side]} {part}"),
                )
        if prop["kind"] == "step":
            yield "step too high", put(data, ("figure", "props", index, "height"), 0.3)
    marks = figure.get("highlight")
    if isinstance(marks, str) and marks.startswith("affected"):
        yield (
            "colour on the idle limb",
            put(data, ("figure", "highlight"), marks.replace("affected", "other")),
        )
    arrow = figure.get("arrow")
    if isinstance(arrow, str) and arrow.split()[0] == "affected" and data["sides"] == "one":
        swapped = "affected hand" if re.search("foot|heel|toe|knee", arrow) else "affected foot"
        yield f"arrow on {swapped}", put(data, ("figure", "arrow"), swapped)


def poses_turned(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """Poses that change places, and a head that turns the other way."""
    if folder != "exercises" or not has(data, "figure", "poses"):
        return
    poses, other = data["figure"]["poses"], {"affected": "other", "other": "affected"}
    if len(poses) > 1 and all(poses[index].get("joints") for index in (0, 1)) and "posture" not in poses[1]:
        turned = copy.deepcopy(data)
        for key in ("joints", "directions"):
            pair = [poses[index].get(key) for index in (1, 0)]
            for index, value in enumerate(pair):
                turned["figure"]["poses"][index].pop(key, None)
                if value:
                    turned["figure"]["poses"][index][key] = copy.deepcopy(value)
        yield "poses reversed", turned
    for index, pose in enumerate(poses):
        neck = (pose.get("joints") or {}).get("neck") or {}
        for motion in neck:
            stem, _, side = motion.rpartition("_")
            if side in other and data["sides"] == "one":
                turned = copy.deepcopy(data)
                joint = turned["figure"]["poses"][index]["joints"]["neck"]
                joint[f"{stem}_{other[side]}"] = joint.pop(motion)
                yield f"head {stem} to the {other[side]} side", turned


def joints_turned(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """A knee or an elbow that words bend and the figure straightens, or the reverse."""
    if folder != "exercises" or not has(data, "figure", "poses"):
        return
    for index, pose in enumerate(data["figure"]["poses"][1:], 1):
        for limb, joints in (pose.get("joints") or {}).items():
            for joint in ("knee", "elbow"):
                angle = joints.get(joint, {}).get("flexion") if isinstance(joints, dict) else None
                said = re.search(
                    rf"\b(straighten|bend)\b[^.]*\b{joint}s?\b", pose.get("caption") or "", re.IGNORECASE
                )
                if angle is not None and said:
                    value = 95 if said[1].lower() == "straighten" else 0
                    yield (
                        f"pose {index} {limb} {joint} {value}",
                        put(data, ("figure", "poses", index, "joints", limb, joint, "flexion"), value),
                    )


def wrong_lists(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """A stop line under what is fine, a reason to leave out turned into an ability, lists emptied."""
    feelings = data.get("feelings")
    if folder == "exercises" and feelings and feelings.get("stop"):
        moved = copy.deepcopy(data)
        moved["feelings"]["fine"] = [*feelings.get("fine", []), moved["feelings"]["stop"].pop(0)]
        yield "a stop line called fine", moved
    turned = {"en": ("cannot", "can"), "nl": (" niet", ""), "ar": ("لا تستطيع", "تستطيع")}[language]
    for loc, text in sentences(data):
        if turned[0] in text and loc[0] in ("leave_out_if", "signs", "easier", "instead", "steps"):
            yield f"{loc}: able", put(data, loc, text.replace(turned[0], turned[1], 1))
    for key in ("leave_out_if", "watch_for", "suits", "in_short", "signs", "come_back_when"):
        if len(data.get(key) or []) > 1:
            yield f"{key} cut to one", put(data, (key,), data[key][:1])


def spoken_numbers(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """Numbers in words, other units, sentences that state a dose of their own."""
    for loc, text in sentences(data):
        for digits, word in DIGITS[language].items():
            match = re.search(rf"(?<![\d{{.:-]){digits}(?![\d.%:-])", text)
            if match:
                yield f"{loc}: {word}", put(data, loc, text[: match.start()] + word + text[match.end() :])
                break
        for one, two in UNITS[language]:
            if re.search(rf"\b{one}\b", text):
                yield f"{loc}: {two}", put(data, loc, re.sub(rf"\b{one}\b", two, text, count=1))
                break
    if folder == "exercises" and data.get("steps"):
        for sentence in SPOKEN[language]:
            yield f"steps: {sentence}", put(data, ("steps", len(data["steps"]) - 1), sentence)


def cut_short(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """A translation that says half of what the original says."""
    if language == "en":
        return
    for loc, text in sentences(data):
        parts = OTHER_HALF.split(text)
        if len(parts) > 1 and len(parts[0]) < 0.55 * len(text) and loc[0] not in ("aim", "summary", "title"):
            yield f"{loc}: {parts[0]}", put(data, loc, parts[0].rstrip(".") + ".")


def unsafe_things(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """Things that tip or slip in place of those that hold; tags and needs lost one by one."""
    if folder != "exercises" or language != "en":
        return
    for index, need in enumerate(data.get("equipment", [])):
        if need["item"] in UNSTEADY:
            yield (
                f"instead of {need['item']}",
                put(data, ("equipment", index, "instead"), UNSTEADY[need["item"]]),
            )
            yield f"chair for {need['item']}", put(data, ("equipment", index, "item"), "chair")
    for index, tag in enumerate(data.get("tags", [])):
        yield f"tag {tag}", put(data, ("tags", index), None)
    if data.get("needs_clearance"):
        yield "no clearance", put(data, ("needs_clearance",), False)


def dose_words(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    """Words about days and times that the dose contradicts, and a dose that the texts contradict."""
    if folder != "exercises" or language != "en" or "dose" not in data:
        return
    dose = data["dose"]
    if dose.get("days_a_week") == 3 and data.get("in_short"):
        yield "every day in short", put(data, ("in_short",), [*data["in_short"][:-1], "{sets} every day."])
    if data.get("in_short"):
        yield "ten times a day", put(data, ("in_short",), [*data["in_short"][:-1], "Ten times a day."])
    if "hold" in dose and has(data, "steps"):
        for index, step in enumerate(data["steps"]):
            if "{hold_count}" in step:
                yield "count typed", put(data, ("steps", index), step.replace("{hold_count}", "45"))
                yield "count a minute", put(data, ("steps", index), "Hold for a minute.")
                break
    if "tempo" in dose:
        yield "tempo upside down", put(data, ("dose", "tempo", "out"), "30 s")


MORE: dict[str, tuple[bool, Maker]] = {
    "figure on the other side": (False, figure_sides),
    "poses turned": (False, poses_turned),
    "joint bent or straight": (False, joints_turned),
    "line in the wrong list": (True, wrong_lists),
    "number spoken": (True, spoken_numbers),
    "translation cut short": (True, cut_short),
    "unsafe thing or tag": (True, unsafe_things),
    "dose against words": (True, dose_words),
}


def prose(text: str, language: str) -> Iterator[tuple[str, str]]:
    """Give slips in a prose page: a line lost, a “not” dropped, another number."""
    lines = text.splitlines(keepends=True)
    start = [index for index, line in enumerate(lines) if line.startswith("---")][1] + 1
    no = {"en": r"\b(?:do not|cannot|not|no) ", "nl": r"\b(?:niet|geen) ?", "ar": r"(?<!\w)(?:لا|لم) "}[
        language
    ]
    for index in range(start, len(lines)):
        line = lines[index]
        if not line.strip() or line.startswith("#"):
            continue
        yield f"line {index + 1} lost", "".join([*lines[:index], *lines[index + 1 :]])
        for what, changed in (
            ("no", re.sub(no, "", line, count=1)),
            ("number", re.sub(r"\d+", lambda found: str(int(found[0]) * 3), line, count=1)),
        ):
            if changed != line:
                yield f"line {index + 1} {what}", "".join([*lines[:index], changed, *lines[index + 1 :]])
