"""Faults that a person could plant in a library, made from its own entries: each is one slip in one file.

Every maker gets an entry as plain data and gives changed copies of it. Nothing here knows the checks: the faults are
what a cautious reader would call wrong, by kind, so that the table says which kinds slip through.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from entry_data import Data, Loc, get, has, put, read, sentences
from planted_more import MORE, prose

Maker = Callable[[Data, str, str], Iterator[tuple[str, Data]]]

LISTS = ("leave_out_if", "setup", "steps", "watch_for", "signs", "come_back_when", "before_you_start")
NEGATIONS = {
    "en": re.compile(r"\b(?:do not|cannot|not|no|never|without)\b ?", re.IGNORECASE),
    "nl": re.compile(r"\b(?:niet|geen|nooit|zonder)\b ?", re.IGNORECASE),
    "ar": re.compile(r"(?<!\w)(?:لا|ليس|بدون|دون|لم)\s"),
}
SWAPS = {
    "en": [("straight", "bent"), ("up", "down"), ("down", "up"), ("forward", "back"), ("bend", "straighten")],
    "nl": [("omhoog", "omlaag"), ("recht", "gebogen"), ("links", "rechts"), ("naar voren", "naar achteren")],
}
SLIPS: Data = yaml.safe_load(Path(__file__).with_name("slips.yml").read_text("utf-8"))


@dataclass(frozen=True)
class Fault:
    """One slip: its kind, whether it could hurt, the file, and what stands in the file (None: it is gone)."""

    kind: str
    what: str
    path: str
    text: str | Data | None
    harm: bool
    also: tuple[str, ...] = ()
    """Files that go with it."""


def lost_lines(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    lists: list[Loc] = [(name,) for name in LISTS] + [
        ("feelings", name) for name in ("stop", "ease_off", "fine")
    ]
    for loc in lists:
        if has(data, *loc):
            for index in range(len(get(data, loc))):
                yield f"{'.'.join(map(str, loc))} {index}", put(data, (*loc, index), None)


def lost_nots(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for loc, text in sentences(data):
        changed = NEGATIONS[language].sub("", text, count=1)
        if changed != text and changed.strip():
            yield f"{loc}: {changed}", put(data, loc, changed[:1].upper() + changed[1:])


def other_numbers(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for loc, text in sentences(data):
        match = re.search(r"\d+", text)
        if match:
            changed = text[: match.start()] + str(int(match[0]) * 2 + 1) + text[match.end() :]
            yield f"{loc}: {changed}", put(data, loc, changed)


def number_words(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if language != "en":
        return
    for loc, text in sentences(data):
        if loc[0] in ("steps", "in_short", "figure"):
            for pattern, changed in (
                (r"\bcount to \d+", "count to ninety"),
                (r"\bfor \d+\b", "for a minute"),
            ):
                if re.search(pattern, text, re.IGNORECASE):
                    yield f"{loc}: {changed}", put(data, loc, re.sub(pattern, changed, text, count=1))


def swapped_sides(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for loc, text in sentences(data):
        for here, there in (("{affected}", "{other}"), ("{other}", "{affected}")):
            if here in text and there not in text:
                yield f"{loc}: {here}", put(data, loc, text.replace(here, there))
                if language == "en":
                    yield f"{loc}: left", put(data, loc, text.replace(here, "left", 1))


def turned_words(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for loc, text in sentences(data):
        if loc[0] not in ("setup", "steps", "figure", "in_short", "working_side", "base_side"):
            continue
        for one, two in SWAPS.get(language, []):
            if re.search(rf"\b{one}\b", text, re.IGNORECASE):
                yield f"{loc}: {one}", put(data, loc, re.sub(rf"\b{one}\b", two, text, count=1, flags=re.I))
                break


def unsafe_words(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for name, sentence in SLIPS["unsafe"][language].items():
        for key in ("steps", "watch_for", "about", "signs", "in_short"):
            if has(data, key):
                lines = [*get(data, (key,))]
                lines = [*lines[:-1], sentence] if key == "in_short" else [*lines, sentence]
                yield f"{key}: {name}", put(data, (key,), lines)
                break


def late_help(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if language != "en":
        return
    for name, sentence in SLIPS["late"].items():
        for loc in (("feelings", "ease_off"), ("come_back_when",)):
            if has(data, *loc):
                yield f"{loc}: {name}", put(data, loc, [*get(data, loc), sentence])
        if folder == "ladders" and language == "en":
            yield f"step_back: {name}", put(data, ("steps", 0, "step_back_when"), sentence)


def doses(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:  # noqa: PLR0912 - one slip a branch
    if folder != "exercises" or "dose" not in data:
        return
    dose = data["dose"]
    if "repetitions" in dose:
        for value in (0, 300):
            yield f"repetitions {value}", put(data, ("dose", "repetitions"), value)
    if "hold" in dose:
        for value in ("0 s", "10 min", "45 s"):
            if dose["hold"] != value:
                yield f"hold {value}", put(data, ("dose", "hold"), value)
    if "duration" in dose:
        yield "duration 5 h", put(data, ("dose", "duration"), "5 h")
        yield "duration 1 s", put(data, ("dose", "duration"), "1 s")
    if "tempo" in dose:
        yield "tempo 0", put(data, ("dose", "tempo", "out"), "0 s")
        yield "tempo 60", put(data, ("dose", "tempo", "back"), "60 s")
    if data.get("kind") == "strength" and "rest" in dose and "min" in str(dose["rest"]):
        yield "rest gone", put(data, ("dose", "rest"), None)
        yield "rest 1 s", put(data, ("dose", "rest"), "1 s")
    if "times_a_day" in dose:
        yield "times a day 25", put(data, ("dose", "times_a_day"), 25)
        if data.get("kind") == "strength":
            yield "strength 10 times a day", put(data, ("dose", "times_a_day"), 10)
    if dose.get("days_a_week") == 3:
        yield "days 7", put(data, ("dose", "days_a_week"), 7)
    if "sets" in dose:
        yield "sets 0", put(data, ("dose", "sets"), 0)
        yield "sets 30", put(data, ("dose", "sets"), 30)


def figures(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if folder != "exercises" or not has(data, "figure", "poses"):
        if has(data, "figure", "captions") and len(data["figure"]["captions"]) > 1:
            yield "captions turned", put(data, ("figure", "captions"), data["figure"]["captions"][::-1])
        return
    poses = data["figure"]["poses"]
    if len(poses) > 1:
        captions = [pose.get("caption") for pose in poses]
        turned = copy.deepcopy(data)
        for pose, caption in zip(turned["figure"]["poses"], captions[::-1], strict=True):
            pose["caption"] = caption
        yield "captions swapped", turned
    yield from _mirrored(data)
    arrow = data["figure"].get("arrow")
    if isinstance(arrow, str) and arrow.startswith("affected"):
        yield "arrow other", put(data, ("figure", "arrow"), arrow.replace("affected", "other"))
    for index, prop in enumerate(data["figure"].get("props", [])):
        if prop["kind"] == "chair" and "sitting" in data["position"]:
            continue  # the posture brings its chair, so the drawing stays the same
        yield f"prop {prop['kind']} gone", put(data, ("figure", "props", index), None)
        kind = "ball" if prop["kind"] != "ball" else "band"
        yield f"prop {prop['kind']} other", put(data, ("figure", "props", index), {"kind": kind})
    if data["position"] not in ("standing", "sitting"):
        yield "position sitting", put(data, ("position",), "sitting")
    else:
        yield "position supine", put(data, ("position",), "supine")
    if has(data, "setup", 0):
        other = "Sit on a firm chair." if "standing" in data["position"] else "Stand tall on both feet."
        yield "setup in another position", put(data, ("setup", 0), other)


def _mirrored(data: Data) -> Iterator[tuple[str, Data]]:
    poses = data["figure"]["poses"]
    text = yaml.safe_dump(poses)
    if "affected" in text and data.get("sides") == "one":
        mirrored = copy.deepcopy(data)
        mirrored["figure"]["poses"] = _mirror(poses)
        for pose, old in zip(mirrored["figure"]["poses"], poses, strict=True):
            if "caption" in old:
                pose["caption"] = old["caption"]
        yield "figure mirrored", mirrored


def _mirror(value: Any) -> Any:
    if isinstance(value, dict):
        return {_mirror(key): _mirror(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_mirror(item) for item in value]
    if isinstance(value, str):
        return re.sub(r"affected|other", lambda m: "other" if m[0] == "affected" else "affected", value)
    return value


def lost_keys(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for key in ("leave_out_if", "equipment", "watch_for", "easier", "instead", "needs_clearance", "working_side",
                "base_side", "tags", "cautions", "dose_reason", "if_you_cannot", "come_back_when",
                "before_you_start", "action", "within", "everywhere", "applies_to"):  # fmt: skip
        if data.get(key):
            yield key, put(data, (key,), None)
    for index, _ in enumerate(data.get("equipment", []) if folder == "exercises" else []):
        yield f"equipment {index}", put(data, ("equipment", index), None)


def kinds(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if folder == "exercises" and "kind" in data:
        yield "kind", put(data, ("kind",), "strength" if data["kind"] != "strength" else "mobility")
        yield "region", put(data, ("region",), "elbow")
        yield "sides", put(data, ("sides",), "both" if data["sides"] != "both" else "one")


def tiers(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if folder == "cautions" and "tier" in data:
        lower = {"emergency": "same_day", "same_day": "ease_off"}.get(data["tier"])
        if lower:
            yield "tier lower", put(data, ("tier",), lower)
        yield "draft", put(data, ("status",), "draft")
        for index, _ in enumerate(data.get("applies_to", [])):
            yield f"rule {index} gone", put(data, ("applies_to", index), None)
            yield f"rule {index} narrowed", put(data, ("applies_to", index, "kind"), ["aerobic"])
        yield "sign reworded", put(data, ("signs", 0), "You feel a little odd.")
        yield (
            "action harmless",
            put(data, ("action",), "Have a rest and carry on tomorrow. Call us on {phone} some day."),
        )


def reviews(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    review = data.get("review")
    if not review:
        return
    yield "owner approves", put(data, ("review", "approved_by"), review["owner"])
    yield "stranger approves", put(data, ("review", "approved_by"), "My neighbour")
    yield "due far", put(data, ("review", "due"), "2038-01-01")
    if review.get("version", 1) > 1:
        yield "version down", put(data, ("review", "version"), review["version"] - 1)
    yield "version up", put(data, ("review", "version"), review.get("version", 1) + 1)
    yield "reviewed typed", put(data, ("review", "reviewed"), "2026-11-20")


def ladders(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if folder == "exercises" and has(data, "harder", "when") and language == "en":
        yield "gate above dose", put(data, ("harder", "when"), "You can do 9 sets of 90 on 2 days in a row.")
        if has(data, "easier", "when"):
            turned = put(data, ("harder", "when"), data["easier"]["when"])
            yield "gates swapped", put(turned, ("easier", "when"), data["harder"]["when"])
            yield "back is on", put(data, ("easier", "when"), data["harder"]["when"])
            yield "harder to itself", put(data, ("harder", "exercise"), data["easier"]["exercise"])
    if folder != "ladders" or language != "en":
        return
    for index, step in enumerate(data["steps"]):
        if "move_on_when" in step:
            turned = put(data, ("steps", index, "move_on_when"), step["step_back_when"])
            yield f"{index} swapped", put(turned, ("steps", index, "step_back_when"), step["move_on_when"])
            yield f"{index} same", put(data, ("steps", index, "step_back_when"), step["move_on_when"])
            yield f"{index} vague", put(data, ("steps", index, "move_on_when"), "You feel ready.")
        if index:
            turned = copy.deepcopy(data)
            turned["steps"][index - 1 : index + 1] = turned["steps"][index - 1 : index + 1][::-1]
            yield f"{index} order", turned


def blanks(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    for number, (loc, _) in enumerate(sentences(data)):
        if number % 5 == 0:
            yield (
                f"{loc} blank",
                put(data, loc, ("\u00a0", "{affected}", "...", "TODO", "\u200b")[number // 5 % 5]),
            )


def untranslated(data: Data, folder: str, language: str) -> Iterator[tuple[str, Data]]:
    if language == "en":
        return
    for number, (loc, _) in enumerate(sentences(data)):
        if number % 3 == 0:
            yield f"{loc} english", put(data, loc, "Hold the chair with one hand and stand up.")


KINDS: dict[str, tuple[bool, Maker]] = {
    "a line lost": (True, lost_lines),
    "a not lost": (True, lost_nots),
    "another number": (True, other_numbers),
    "a number in words": (True, number_words),
    "sides swapped": (True, swapped_sides),
    "direction turned": (False, turned_words),
    "unsafe words": (True, unsafe_words),
    "help too late": (True, late_help),
    "dose": (True, doses),
    "figure and position": (False, figures),
    "a key lost": (True, lost_keys),
    "kind, region, sides": (True, kinds),
    "caution weakened": (True, tiers),
    "review": (False, reviews),
    "gates": (False, ladders),
    "blank text": (False, blanks),
    "not translated": (False, untranslated),
    **MORE,
}


def entry_faults(content: Path) -> Iterator[Fault]:
    """Give all faults in exercises, ladders, collections and cautions, file by file and kind by kind."""
    for folder in ("cautions", "exercises", "ladders", "collections"):
        for file in sorted((content / folder).rglob("*.yml")):
            language = "en" if len(file.suffixes) == 1 else file.suffixes[0][1:]
            data = read(file)
            path = file.relative_to(content).as_posix()
            for kind, (harm, make) in KINDS.items():
                name = kind if language == "en" else f"{kind} ({language})"
                for what, changed in make(data, folder, language):
                    yield Fault(name, what, path, changed, harm)
            if language == "en":
                translated = tuple(
                    one.relative_to(content).as_posix()
                    for one in sorted(file.parent.glob(f"{file.stem}.*.yml"))
                )
                yield Fault("file gone in all languages", "gone", path, None, True, translated)
            else:
                yield Fault(f"file gone ({language})", "gone", path, None, True)


def settings_faults(content: Path) -> Iterator[Fault]:
    """Give the faults in settings, prose and locks; one whose words are not there any more is left out."""
    for path, what, find, replaced in SLIPS["settings"]:
        text = (content / path).read_text("utf-8")
        if path.endswith(".lock"):
            lines = text.splitlines(keepends=True)
            yield Fault("lock", what, path, "".join(lines[: len(lines) // 2]), True)
            yield Fault("lock", f"{path} gone", path, None, True)
        elif find in text:
            yield Fault("settings and prose", what, path, text.replace(find, replaced, 1), True)
    for file in sorted((content / "pages").glob("*.md")):
        language = "en" if len(file.suffixes) == 1 else file.suffixes[0][1:]
        for what, text in prose(file.read_text("utf-8"), language):
            yield Fault("prose page", what, f"pages/{file.name}", text, True)
    for name in ("equipment.yml", "pages/how-to-use.md", "pages/about.md", "pages/about.nl.md"):
        yield Fault("file gone in all languages", "gone", name, None, True)


def all_faults(content: Path) -> list[Fault]:
    """Give every fault, in the order of files."""
    return [*settings_faults(content), *entry_faults(content)]


def sampled(faults: list[Fault], each: int) -> list[Fault]:
    """Give up to `each` faults of every kind, spread evenly over the library."""
    by_kind: dict[str, list[Fault]] = {}
    for fault in faults:
        by_kind.setdefault(fault.kind, []).append(fault)
    chosen = []
    for same in by_kind.values():
        step = max(1, len(same) / each)
        chosen += [same[int(at * step)] for at in range(min(each, len(same)))]
    return chosen
