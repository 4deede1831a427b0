"""What a change of a field, a list or a line can mean: the tables that difference.py goes by."""

from __future__ import annotations

from collections.abc import Mapping

from limberleaf.library.yaml.source import Loc

LINES: Mapping[Loc, tuple[str, str]] = {
    ("feelings", "stop"): ("stop-rule", "stop rule"),
    ("feelings", "ease_off"): ("ease-off-line", "line that says ease off"),
    ("signs",): ("sign", "warning sign"),
    ("leave_out_if",): ("reason-to-leave-out", "reason to leave it out"),
    ("watch_for",): ("warning", "line to watch for"),
    ("come_back_when",): ("reason-to-call", "reason to come back"),
    ("before_you_start",): ("line-before", "line to read before starting"),
    ("cautions",): ("named-caution", "caution named by hand"),
    ("tags",): ("tag", "tag, which brings cautions with it"),
    ("equipment",): ("thing-needed", "thing it needs"),
    ("applies_to",): ("rule-of-reach", "rule where the caution shows"),
}
"""Lists in which each line counts: the stem of the code and what a line is called."""

NAMES_ALONE: tuple[Loc, ...] = (("tags",), ("cautions",))
"""Lists of names: one that stands where another stood is that one gone and this one come."""

UNORDERED: tuple[Loc, ...] = (*NAMES_ALONE, ("covers",), ("synonyms",), ("figure", "arrow"))
"""Lists whose order nobody sees: pages order boxes by tier, and a figure draws each arrow at its own limb."""

KEPT_BY = "kept_by"
"""The field of the lock that says which role kept an entry when it was approved: asked for when the file is gone."""

MAY_BE_CUT: tuple[Loc, ...] = (("setup",), ("steps",), ("in_short",))
"""Lists whose lines follow each other, so that one cut in two still says the same; in the others each line counts."""

KEEPS_SAFE = {
    "stop",
    "ease_off",
    "signs",
    "leave_out_if",
    "watch_for",
    "come_back_when",
    "before_you_start",
    "action",
    "actions",
    "never",
    "step_back_when",
    "if_you_cannot",
    "dose_reason",
    "setup",
    "steps",
    "instead",
    "items",
    "caption",
    "captions",
    "in_short",
    "when",
    "move_on_when",
    "start_here_if",
    "notes",
}
"""Keys of lines that are there for safety or tell what to do: whatever changes in them wants a reason."""

SIGNS = {"stop", "ease_off", "signs", "leave_out_if", "come_back_when", "step_back_when"}
"""Keys of lines that name what somebody feels or has: one that must be “very” bad is met by fewer."""

HELP = {"call", "stop", "emergency", "drive", "wait", "fall"}
"""Words of data/safety_words.yml that make any line one that is there for safety."""

NOT_FOR_PATIENTS = {"sources"}
"""Fields that change nothing a patient is told."""

LESS_CAREFUL = {"carry-on", "wait", "drive"}
"""Words of data/safety_words.yml that may not come into a line unseen."""

LEAST_LEFT = 0.65
"""Part of a text's letters below which something it said must be missing."""

PLACES_OF_PROPS = {"beside", "in_front_of", "behind", "under", "around", "height", "held_by"}
"""Keys of a thing in a figure that say where it is."""

LEAST_ANGLE = 15
"""Degrees by which a joint must move before its change wants a reason; a reader hardly sees fewer (no source)."""

LEAST_TURN = 8
"""Degrees by which a joint must move before a second person compares old and new: a figure is put right by fewer (no
source)."""

MOST_MOVED = 3
"""The most lines of which it is said from where to where they moved."""

WEAKENS = {
    "order",
    "blank",
    "link",
    "reach",
    "joins",
    "word-dropped",
    "carelessness-added",
    "safety-line",
    "support",
    "not-dropped",
    "not-added",
    "number",
    "side",
    "direction",
    "urgency-dropped",
    "cut-short",
    "hands-moved",
    "contact-moved",
    "thing-moved",
    "other-exercise",
    "words-turned",
    "fact-words",
    "angle",
    "clearance-dropped",
    "tier-lowered",
    "band-moved",
    "dose",
}
"""Kinds of change that can take a safeguard away; `...-removed` is one as well."""
