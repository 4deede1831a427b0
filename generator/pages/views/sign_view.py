"""The signs of the figures in words: the legend, and what stands beside a panel because it is a number of the dose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

import limberleaf.diagrams as drawing  # its names are imported when a sign is drawn
from limberleaf.clinical.dosage.dose import time_words
from limberleaf.library import Exercise
from limberleaf.pages.language_edition import LanguageEdition

BREATHES = "held_breath_risk"
"""The tag of exercises that are hard enough to make people hold their breath."""

PAPER_WEIGHT = 1.4
"""How much heavier the lines of a sign are on paper, where signs are small: 0.8 points or more."""


@dataclass(frozen=True)
class SignView:
    """A sign and what it says.

    `spoken`: what a screen reader says for both, where the words alone are too short; `blank`: the blank of the dose
    whose words they are, which a plan fills with its own.
    """

    name: str
    svg: Markup
    words: str
    spoken: str = ""
    blank: str = ""


def legend(edition: LanguageEdition) -> list[SignView]:
    """Give every sign with its meaning, in the order of the legend."""
    return [_sign(name, edition.words.say(f"figure.signs.{name}")) for name in drawing.sign_names()]


def beside_panels(edition: LanguageEdition, exercise: Exercise) -> list[list[SignView]]:
    """Give for each panel the signs beside it: how long to stay there, and to keep breathing.

    The time is that of the dose, so a plan that changes it changes the sign.
    """
    found: list[list[SignView]] = []
    hold = exercise.dose.hold
    for names in sign_places(exercise):
        signs = []
        if "hold" in names and hold and hold.high:
            time = time_words(hold, edition.words)
            spoken = edition.words.say("dose.hold_once", time=time)
            signs.append(_sign("hold", time, spoken, "hold"))
        if "breathe" in names:
            signs.append(_sign("breathe", edition.words.say("figure.signs.breathe")))
        found.append(signs)
    return found


def sign_places(exercise: Exercise) -> list[list[str]]:
    """Give for each panel the names of the signs that may stand beside it, whatever the dose.

    A hold stands where the figure says that a pose is held, else at the last panel.
    """
    poses = exercise.figure.poses
    held = [number for number, pose in enumerate(poses) if pose.movement == "hold"]
    found: list[list[str]] = [[] for _ in poses]
    found[held[-1] if held else -1].append("hold")
    if BREATHES in exercise.tags:
        found[-1].append("breathe")
    return found


def plan_signs(edition: LanguageEdition) -> list[SignView]:
    """Give the signs that a plan's script sets beside panels."""
    return [_sign(name, edition.words.say(f"figure.signs.{name}")) for name in ("hold", "breathe")]


def _sign(name: str, words: str, spoken: str = "", blank: str = "") -> SignView:
    return SignView(name, Markup(drawing.sign_svg(name)), words, spoken, blank)  # noqa: S704 - our own drawing


def signs_data(signs: Sequence[SignView]) -> list[dict[str, str]]:
    """Give signs as the templates of the handouts take them, in the style that survives a copier."""
    return [
        {"svg": drawing.sign_svg(sign.name, style="print", weight=PAPER_WEIGHT), "words": sign.words}
        for sign in signs
    ]
