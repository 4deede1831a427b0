"""A small library for plans: every kind of side and dose, a ladder that replaces, retired and draft entries.

All of it is made from the starter's first exercise, so it stays in step with what an entry must hold.
"""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import yaml
from approved import record, starter_files

from limberleaf.library import Library, load_library

MARKUP = "Reach <b>up</b> & “wave” <script>alert(1)</script>"

CHANGES: dict[str, dict[str, Any]] = {
    "kn-01": {
        "title": "Slide your heel",
        "position": "supine",
        "dose": {"sets": 2, "repetitions": 10, "rest": "60 s", "times_a_day": 3, "days_a_week": 7},
    },
    "kn-02": {
        "title": "Straighten your knee",
        "kind": "strength",
        "position": "sitting",
        "version": 3,
        "dose": {
            "sets": 3, "repetitions": "8-12", "hold": "3 s", "tempo": {"out": "2 s", "back": "3 s"}, "rest": "2 min",
            "times_a_day": 1, "days_a_week": 3,
        },
        "in_short": ["Sit tall.", "Back for {back_count}.", "{sets} of {repetitions_count}, {times_a_day}."],
        "steps": ["Lift your {affected} foot.", "Count to {hold_count}.", "{repetitions}, and hold each for {hold}."],
    },
    "kn-03": {
        "title": "Stretch your calf",
        "kind": "stretch",
        "position": "standing",
        "sides": "each",
        "dose": {"sets": 1, "repetitions": 3, "hold": "20-30 s", "times_a_day": 1, "days_a_week": "5-7"},
    },
    "kn-04": {
        "title": "Bend and straighten",
        "position": "step_standing",
        "sides": "both",
        "dose": {
            "sets": 1, "repetitions": {"as_many_as_comfortable": True, "up_to": 20}, "every": "1 h", "days_a_week": 7,
        },
    },
    "kn-05": {
        "title": "Lie and rest",
        "kind": "rest_position",
        "position": "prone",
        "needs_clearance": True,
        "sides": "both",
        "dose": {"duration": "10 min", "times_a_day": 2, "days_a_week": 7},
    },
    "kn-06": {
        "title": MARKUP,
        "kind": "nerve_slider",
        "position": "standing",
        "dose": {"sets": "2-3", "repetitions": 10, "rest": "60 s", "times_a_day": "2-3", "days_a_week": 7},
    },
    "kn-07": {"title": "Old straightener", "status": "retired", "replaced_by": "kn-02"},
    "kn-08": {"title": "Old bender", "status": "retired", "retired_because": "A safer way is known now."},
    "kn-09": {"title": "Not ready", "status": "draft"},
    "kn-10": {"title": "Walk on the spot", "kind": "aerobic", "position": "standing", "sides": "both",
              "dose": {"duration": "5 min", "times_a_day": 1, "days_a_week": 5}},
    "kn-11": {"title": "Rock on hands and knees", "position": "four_point_kneeling", "sides": "both",
              "dose": {"sets": 1, "repetitions": 10, "times_a_day": 1, "days_a_week": 7}},
    "kn-12": {"title": "Roll your ankle", "position": "sitting",
              "dose": {"sets": 1, "repetitions": 15, "times_a_day": 2, "days_a_week": 7}},
}  # fmt: skip

DUTCH_CAUTIONS = (
    ("hot-knee", "Een warme knie en ziek zijn", "Uw knie is rood en heet, en u hebt koorts."),
    ("knee-giving-way", "Een knie die op slot zit", "Uw knie zit op slot."),
)


def _on(value: Any) -> Any:
    """Undo YAML 1.1, which takes the key `on` for true."""
    if isinstance(value, dict):
        return {"on" if key is True else key: _on(inner) for key, inner in value.items()}
    return [_on(inner) for inner in value] if isinstance(value, list) else value


def write_sample(folder: Path) -> Path:
    """Write the sample library below `folder`; gives its content folder."""
    for path, text in starter_files().items():
        if path.startswith("content/") and "/exercises/" not in path and "/ladders/" not in path:
            file = folder / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text.replace("languages: [en]", "languages: [en, nl, ar]"), "utf-8")
    content = folder / "content"
    for old in (content / "collections").glob("*.yml"):
        old.unlink()
    (base,) = (yaml.safe_load(text) for path, text in starter_files().items() if path.endswith("/kn-01.yml"))
    for code, changes in CHANGES.items():
        entry = _on(copy.deepcopy(base))
        entry.pop("harder")
        entry["in_short"] = ["Lie on your back.", "Slide your heel in and out.", "{times_a_day}."]
        entry.update({"code": code, **{name: value for name, value in changes.items() if name != "version"}})
        if code == "kn-05":
            entry["feelings"]["bands"] = {"carry_on": "0-2", "ease_off": "3-5", "stop": "6-10"}
        entry["review"]["version"] = changes.get("version", 1)
        file = content / "exercises" / "knee" / f"{code}.yml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(yaml.safe_dump(entry, sort_keys=False, allow_unicode=True), "utf-8")
    for ident, title, sign in DUTCH_CAUTIONS:
        words = {
            "translates": {"id": ident, "version": 1, "fingerprint": "0" * 12}, "status": "approved",
            "title": title, "signs": [sign], "review": base["review"],
        }  # fmt: skip
        (content / "cautions" / f"{ident}.nl.yml").write_text(yaml.safe_dump(words), "utf-8")
    ladder = {
        "id": "knee", "title": "Knee", "aim": "Up.", "status": "approved", "region": "knee",
        "steps": [
            {"exercise": "kn-01", "start_here_if": "It is sore.", "move_on_when": "You can do 2 sets of 10.",
             "step_back_when": "Stop and call us if it swells."},
            {"exercise": "kn-02", "start_here_if": "You can sit.", "step_back_when": "It hurts for a day.",
             "replaces": ["kn-01"]},
        ],
        "review": base["review"],
    }  # fmt: skip
    (content / "ladders").mkdir(exist_ok=True)
    plans = {
        "notes": {
            f"note-0{number}": dict.fromkeys(("en", "nl", "ar"), f"Note {number}.") for number in range(1, 6)
        },
        "sets": {
            "first": {
                "title": "First steps", "for_whom": "For a start.", "weeks": 4, "note_names": ["note-02"],
                "exercises": [{"exercise": "kn-02", "sets": 2, "hold": "5 s"}, {"exercise": "kn-03"}],
            },
            "gone": {
                "title": "Old set", "for_whom": "For nobody.", "exercises": [{"exercise": "kn-03"}],
                "retired_because": "Too much at once.",
            },
        },
    }  # fmt: skip
    (content / "plans.yml").write_text(yaml.safe_dump(plans), "utf-8")
    (content / "ladders" / "knee.yml").write_text(yaml.safe_dump(ladder), "utf-8")
    record(content)
    return content


def sample_library(folder: Path) -> Library:
    """Write the sample library and read it; it must hold no error of reading."""
    library = load_library(write_sample(folder))
    assert [finding.line() for finding in library.findings if finding.severity == "error"] == []
    return library
