"""Style sheets of the clinic's own: nothing fetched from elsewhere, and no box that warns is hidden or repainted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from limberleaf.findings import Finding, Place

_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_FETCHED = re.compile(r"@import\b[^;]*;?|url\(\s*['\"]?\s*((?:https?:)?//[^'\")\s]*)", re.IGNORECASE)
_RULE = re.compile(r"([^{};]*)\{([^{}]*)\}")
_SAFETY = re.compile(
    r"\.(?:box(?:es|-in)?|emergency|same_day|ease_off|carry_on|stop|bands?|leave|before|calls?|tier-boxes|feel|do|draft)(?![\w-])"
)
_EVERYTHING = re.compile(
    r"(?:^|[\s>+~,])(?:\*|html|body|main|article|section|div|p|ul|ol|li|h[1-6])(?=$|[\s,:>+~])"
)
_HIDES = re.compile(
    r"display\s*:\s*none|visibility\s*:\s*(?:hidden|collapse)|opacity\s*:\s*0|font-size\s*:\s*0(?![.\d])|clip(?:-path)?\s*:"
    r"|text-indent\s*:\s*-|(?:max-)?height\s*:\s*0(?![.\d])|content-visibility\s*:\s*hidden",
    re.IGNORECASE,
)
_PAINTS = re.compile(r"(?:^|;)\s*(?:color|background(?:-color)?|border(?:-[a-z-]+)?)\s*:", re.IGNORECASE)
_MEANINGS = re.compile(r"--(?:ok|ease|stop|head|on-head|ok-back|ease-back|stop-back)\s*:")


def style_findings(css: str, path: str) -> Iterator[Finding]:
    """Say what of a style sheet pages will not honour, and what must not be done, each at its line."""
    plain = _COMMENT.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), css)
    for match in _FETCHED.finditer(plain):
        yield Finding(
            "error",
            "style-fetches",
            f"This fetches {match[1] or 'another style sheet'}; pages ask no other host for anything.",
            "Put the file beside this one and name it by its path; copy an imported style sheet into this one.",
            _place(path, plain, match.start()),
        )
    for match in _RULE.finditer(plain):
        selector, inside = " ".join(match[1].split()), match[2]
        at = match.start() + len(match[1]) - len(match[1].lstrip())
        warns = _SAFETY.search(selector)
        if _HIDES.search(inside) and (warns or _EVERYTHING.search(selector)):
            yield Finding(
                "error",
                "style-hides-boxes",
                f"“{selector}” would hide {'what warns the patient' if warns else 'parts of every page'}.",
                "Take the rule out: caution boxes, feelings and “leave it out if” stay to be seen on every page.",
                _place(path, plain, at),
            )
        elif (warns and _PAINTS.search(inside)) or _MEANINGS.search(inside):
            yield Finding(
                "warning",
                "style-paints-boxes",
                f"“{selector}” changes colours that mean something: green go on, amber ease off, red stop.",
                "Leave them as they are, or check each pair yourself in light, dark and print (WCAG 2.2, 1.4.3).",
                _place(path, plain, at),
            )


def _place(path: str, text: str, at: int) -> Place:
    return Place(path, text.count("\n", 0, at) + 1, at - (text.rfind("\n", 0, at) + 1) + 1)
