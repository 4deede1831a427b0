"""The nets under the demo library: one slip a case in a copy of it, and the check that must name it.

The demo itself has no finding; figures are not drawn here (tests/mutation/plant.py plants faults in whole).
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from conftest import ROOT

from limberleaf.checks import CHECKS, DATED_CHECKS
from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.checks.safety.unsafe_words import unsafe_in
from limberleaf.findings import Finding, Place
from limberleaf.library import load_library
from limberleaf.library.load import ReadCache

TODAY = date(2026, 11, 29)


class Planted:
    """A copy of the demo's content in which one file at a time is edited."""

    def __init__(self, folder: Path) -> None:
        self.content = folder / "content"
        shutil.copytree(ROOT / "content", self.content, ignore=shutil.ignore_patterns(".schema"))
        self.cache = ReadCache()

    def findings(self) -> list[Finding]:
        library = load_library(self.content, self.cache)
        found = list(library.findings)
        for check in CHECKS:
            found.extend(check(library))
        for dated in DATED_CHECKS:
            found.extend(dated(library, TODAY))
        return found

    def with_edit(self, path: str, find: str, put: str) -> list[Finding]:
        file = self.content / path
        before = file.read_bytes()
        text = before.decode()
        assert find in text, f"{path} no longer says {find}"
        try:
            file.write_text(text.replace(find, put, 1), "utf-8")
            return self.findings()
        finally:
            file.write_bytes(before)


@pytest.fixture(scope="module")
def planted(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planted]:
    yield Planted(tmp_path_factory.mktemp("planted"))


CHEST, THINNERS = "cautions/chest-emergency", "cautions/blood-thinners.yml"
CLINIC, KNEE, BACK = "clinic.yml", "exercises/knee/kn-03.yml", "cautions/back-emergency.yml"
CASES = [
    # boxes: signs by region, tiers, coverage
    (BACK, "covers: [saddle-numbness, ", "covers: [", "sign-missing"),
    (BACK, "tier: emergency", "tier: same_day", "sign-in-low-tier"),
    (BACK, "  - Sex feels numb or has changed.\n", "", "sign-not-said"),
    ("cautions/clot-same-day.yml", "  - {kind: [balance, aerobic]}\n", "  - {kind: [stretch]}\n", "changed-value"),
    ("cautions/neck-emergency.yml", "status: approved", "status: draft", "approved-withdrawn"),
    # other texts make too little of a sign
    (
        KNEE,
        "    - Your knee still hurts",
        "    - You get chest pain. Go one step back.\n    - Your knee still hurts",
        "sign-too-late",
    ),
    (KNEE, "    - You feel sharp pain in your knee.", "    - Your calf throbs and swells.", "stop-without-action"),
    ("ladders/knee-strength.yml", "Your knee sags as soon as you lift.", "You get chest pain.", "sign-too-late"),
    # edits that a careless approval let through
    ("ladders/steady-standing.yml", "if you fall,", "if you fall twice,", "unsafe-second-time"),
    ("equipment.yml", "Een kruk, een doos", "Een wankele kruk, een lege doos", "ban-narrowed"),
    ("equipment.yml", "chair, a door or a walking", "chair, an open door or a thin walking", "ban-narrowed"),
    ("exercises/knee/kn-01.yml", "your knee all the way.", "your knee all the way, and it hurts.", "reason-narrowed"),
    (THINNERS, "kind: [balance", "region: [knee], kind: [balance", "box-off-pages"),
    ("exercises/whole_body/ba-01.yml", "kind: balance", "kind: mobility", "box-off-pages"),
    ("exercises/shoulder/sh-10.yml", "about half a kilo", "about 5 kilos", "weight-differs"),
    # who reads what
    (CLINIC, "{role: Klinisch leidinggevende,", "{role: Klinisch leider,", "reads-unknown"),
    (
        CLINIC,
        ("languages: [en, nl, ar]}\n    # Confirms what the governance lead keeps, and so may not confirm.\n"
        "    - {role: Patient safety lead, languages: [en, nl, ar]}\n"
        "    - {role: Klinisch leidinggevende, languages: [nl]}"),
        ("languages: [en, ar]}\n    - {role: Patient safety lead, languages: [ar]}\n"
        "    - {role: Klinisch leidinggevende, languages: [en]}"),
        "language-nobody-reads",
    ),
    # numbers, bands, actions
    (CLINIC, "phone: 01632 960148", "phone: 01632 96014", "number-wrong"),
    (CLINIC, 'number: "999"', 'number: "998"', "number-wrong"),
    (CLINIC, 'number: "111"', 'number: "101"', "number-wrong"),
    (CLINIC, "country: GB", "country: QQ", "country-unknown"),
    (
        CLINIC,
        "{carry_on: 0-3, ease_off: 4-5, stop: 6-10}",
        "{carry_on: 0-8, ease_off: 9-9, stop: 10-10}",
        "bands-too-high",
    ),
    (CLINIC, "en: 24 hours", "en: 3 weeks", "settle-time-wrong"),
    (CLINIC, "Call us today on {phone}.", "Call us next week on {phone}.", "action-too-late"),
    (CLINIC, "interval: 2 years", "interval: 9 years", "interval-too-long"),
    (CLINIC, "nl: 24 uur", "nl: 48 uur", "translation-other-number"),
    ("pages/how-to-use.md", "Pain of {carry_on_pain}: carry on.", "From 0 to 6, carry on.", "prose-other-bands"),
    ("pages/how-to-use.md", "Pain of {carry_on_pain}: carry on.", "From 0 to 3, carry on.", "prose-number-typed"),
    ("pages/how-to-use.nl.md", "Pijn van {stop_pain}", "Pijn van 6 tot 10", "prose-number-typed"),
    ("pages/how-to-use.md", "within {settle_time}", "within a day", "prose-number-typed"),
    ("pages/how-to-use.md", "Call the emergency number.", "Call 999 now.", "number-typed"),
    # doses and gates
    (KNEE, "repetitions: 8-12", "repetitions: 0", "dose-impossible"),
    (KNEE, "tempo: {out: 2 s", "tempo: {out: 60 s", "dose-impossible"),
    (KNEE, "rest: 2 min, ", "", "no-rest-between-sets"),
    (KNEE, "days_a_week: 3", "days_a_week: 7", "strength-every-day"),
    (KNEE, "3 sets of 12 on 2 training", "4 sets of 12 on 2 training", "gate-above-dose"),
    (KNEE, "on 2 training days", "on 2 days", "gate-against-days"),
    (KNEE, 'when: "Lifting your foot', 'when: "You can lift your foot', "gates-swapped"),
    (
        "ladders/knee-strength.yml",
        "Your knee sags as soon as you lift.",
        "You can do 3 sets of 12 with a flat knee on 2 training days in a row.",
        "gates-alike",
    ),
    # words and supports
    (KNEE, "  - Do not swing your leg.", "  - Push through the pain.", "unsafe-through-pain"),
    (
        "exercises/whole_body/ba-01.yml",
        "  - {item: worktop}",
        '  - {item: worktop, instead: "A chair on wheels."}',
        "unsafe-support",
    ),
    (KNEE, "  - Sit tall.", '  - "\u00a0"', "text-empty"),
    ("equipment.yml", "en: A low, wide, heavy step that cannot slide.", "en: A kitchen stool.", "unsafe-support"),
    # words and pictures
    (KNEE, "  - Sit tall on a firm chair.", "  - Stand tall on both feet.", "posture-contradicts"),
    (KNEE, "      caption: Sit tall. Put both feet flat.", "      caption: Lie on your back.", "posture-contradicts"),
    ("exercises/neck/ne-02.yml", "neck: {rotation_affected: 65}", "neck: {rotation_other: 65}", "turned-to-other-side"),
    ("exercises/knee/kn-08.yml", "arrow: affected heel", "arrow: other heel", "arrow-on-other-limb"),
    # translations
    ("exercises/neck/ne-02.nl.yml", "    - U wordt duizelig.\n", "", "translation-item-missing"),
    (
        "exercises/neck/ne-02.nl.yml",
        "U wordt duizelig.",
        "You get dizzy, and the room spins with you.",
        "translation-not-translated",
    ),
    ("exercises/knee/kn-02.ar.yml", "ركبتك {other}", "وركك {other}", "translation-other-part"),
    ("exercises/neck/ne-02.nl.yml", "title: Draai uw hoofd", "title: Draai uw schouders", "translation-other-part"),
    ("cautions/knee-emergency.nl.yml", "Uw knie is heet", "Uw heup is heet", "translation-other-part"),
    ("plans.yml", "met meer pijn de helft", "met meer pijn het dubbele", "translation-other-direction"),
    ("cautions/operation-same-day.nl.yml", "38 °C", "39 °C", "translation-other-number"),
    # sentences of settings, cautions and prose against their own translations
    (CLINIC, " Do not drive yourself.", "", "translation-other-no"),
    (CLINIC, "go to {emergency_place} now.", "go to {emergency_place} today.", "translation-other-urgency"),
    (CLINIC, "nl: Stop. Bel nu {emergency_number}", "nl: Stop. Bel vandaag {emergency_number}", "action-too-late"),
    ("equipment.yml", "en: A chair on wheels, a folding chair or a soft sofa.", "en: A soft sofa.",
     "translation-says-more"),
    ("equipment.yml", "nl: Een klaptafel of een tafel op wieltjes.", "nl: Een oude of een wankele tafel.",
     "translation-other-words"),
    (CHEST + ".nl.yml", "of u hoest bloed op", "of u hoest veel", "translation-other-words"),
    (CHEST + ".ar.yml", "أو تسعل دمًا", "أو تسعل كثيرًا", "translation-other-words"),
    ("pages/how-to-use.nl.md", "Bel ons dan eerst.", "Begin dan rustig.", "translation-other-words"),
    ("pages/about.ar.md", "مرة واحدة مع اختصاصي العلاج الطبيعي", "مرة واحدة", "translation-other-words"),
    (THINNERS, "needs help at once.", "can wait for your next visit.", "translation-other-urgency"),
    (THINNERS, "needs help at once.", "can wait for your next visit.", "sign-too-late"),
    ("cautions/clot-same-day.yml", "warm, or darker or redder", "warm, and darker or redder", "translation-or-for-and"),
    ("cautions/clot-same-day.nl.yml", "donkerder of roder", "donkerder en roder", "translation-or-for-and"),
    ("cautions/very-bendy-joints.nl.yml", "Hang niet in het gewricht", "Hang in het gewricht", "translation-other-no"),
    ("exercises/neck/ne-05.nl.yml", "langer dan een minuut", "langer dan een uur", "translation-other-unit"),
    ("cautions/back-emergency.nl.yml", "of u verliest plas of poep", "en u verliest plas en poep",
     "translation-or-for-and"),
    (CLINIC, "ga één stap terug", "ga één stap verder", "translation-other-direction"),
    ("cautions/thin-bones.yml", "Ask us first if", "Tell us at your next visit if", "translation-other-words"),
    # supports that move
    ("equipment.yml", "    support: false", "    support: true", "support-that-moves"),
    ("equipment.yml", "en: a clear wall\n", "en: a clothes screen\n",
     "support-that-moves"),
    ("equipment.yml", "A band with a tear or a nick in it. It can snap.", "A band you do not like. It can slip.",
     "never-line-lost"),
    ("equipment.yml", "en: The back of a chair, a door or a walking stick. They can tip or slip.", "en: A door.",
     "never-line-lost"),
    # one sign, one tier
    ("cautions/feeling-dizzy.yml", "[knee, hip,", "[whole_body, knee, hip,", "sign-in-two-tiers"),
    ("cautions/blood-thinners.yml", "You bruise more than you used to.", "You hit your head.", "sign-in-two-tiers"),
    ("ladders/knee-strength.yml", "move_on_when: You can", "move_on_when: Your calf throbs and swells, but you can",
     "sign-too-late"),
    ("cautions/ankle-same-day.ar.yml", "4 خطوات", "14 خطوات", "translation-other-number"),
]  # fmt: skip


def test_the_demo_is_clean(planted: Planted) -> None:
    assert [finding.line() for finding in planted.findings()] == []


@pytest.mark.parametrize(("path", "find", "put", "code"), CASES)
def test_a_slip_is_an_error_or_a_warning_at_its_file(
    planted: Planted, path: str, find: str, put: str, code: str
) -> None:
    found = [finding for finding in planted.with_edit(path, find, put) if finding.severity != "note"]
    codes = {finding.code for finding in found}
    if code.startswith("changed-"):
        assert any(finding.place.path == path for finding in found), codes
        return
    assert code in codes, codes


@pytest.mark.parametrize(
    ("path", "find", "put", "code"),
    [
        ("pages/how-to-use.md", "some days in a row", "some weeks in a row", "translation-other-unit"),
        (
            "pages/how-to-use.nl.md",
            "een paar dagen op rij",
            "een paar weken op rij",
            "translation-other-unit",
        ),
        ("exercises/neck/ne-02.yml", "Stop when you", "Turn until you", "translation-other-no"),
        ("exercises/neck/ne-02.nl.yml", "Stop als u", "Draai tot u", "translation-other-no"),
    ],
)
def test_lines_that_disagree_are_named_at_the_one_that_changed(
    planted: Planted, path: str, find: str, put: str, code: str
) -> None:
    """Each of these originals has one translation, so nothing else tells which of the two is wrong."""
    found = [one.place.path for one in planted.with_edit(path, find, put) if one.code == code]
    assert found == [path]


def test_one_other_word_does_not_put_captions_in_the_wrong_order(planted: Planted) -> None:
    """A step that shares a word less with its caption is no caption that speaks of the start."""
    found = planted.with_edit(
        "exercises/neck/ne-06.nl.yml", "de elleboog meteen weer", "de elleboog rustig weer"
    )
    assert "captions-out-of-order" not in {finding.code for finding in found}


def test_a_sign_may_be_lowered_with_a_reason_and_a_role(planted: Planted) -> None:
    lowered = "  lowered: [{sign: new-falls, tier: ease_off, because: The falls team calls back, by: Clinical lead}]\n"
    text = (planted.content / CLINIC).read_text("utf-8")
    found = planted.with_edit(CLINIC, text, text + lowered)
    assert {finding.code for finding in found} == {
        "major-edit-not-reviewed"
    }  # only its own approval is wanting
    stranger = planted.with_edit(CLINIC, text, text + lowered.replace("by: Clinical lead", "by: Nobody"))
    assert "lowered-by-stranger" in {finding.code for finding in stranger}


def test_a_translation_that_cannot_be_read_hides_no_missing_sign(planted: Planted) -> None:
    dutch = planted.content / "cautions/ankle-emergency.nl.yml"
    before = dutch.read_bytes()
    try:
        dutch.write_text("title: [", "utf-8")
        found = planted.with_edit(BACK, "covers: [saddle-numbness, ", "covers: [")
    finally:
        dutch.write_bytes(before)
    assert "sign-missing" in {one.code for one in found}


def test_a_caution_that_is_gone_is_named_with_its_signs(planted: Planted) -> None:
    file = planted.content / BACK
    original = file.read_bytes()
    file.unlink()
    try:
        found = list(check_approvals(load_library(planted.content)))
    finally:
        file.write_bytes(original)
    gone = [finding for finding in found if finding.code == "approved-gone"]
    assert "numb between your legs" in gone[0].message


@pytest.mark.parametrize(
    ("language", "text", "code"),
    [
        ("en", "Do not bounce.", ""),
        ("en", "Bounce at the end.", "unsafe-jerk"),
        ("en", "You cannot hold your breath while you talk.", ""),
        ("en", "Hold your breath and push.", "unsafe-breath"),
        ("en", "Keep going even if it hurts a lot.", "unsafe-through-pain"),
        ("en", "This cures your knee.", "unsafe-promise"),
        ("en", "It does not cure the joint.", ""),
        ("en", "You can stop your blood thinners.", "unsafe-medicine"),
        ("en", "There is no need to call us.", "unsafe-no-help"),
        ("en", "Pull on your head with both hands.", "unsafe-neck-pull"),
        ("en", "DO THIS NOW EVERY DAY.", "shouting"),
        ("en", "See www.example.org for more.", "web-link"),
        ("en", "Call 01632 960148 or {phone}.", "number-typed"),
        ("en", "TODO", "text-unfinished"),
        ("nl", "Houd uw adem niet in.", ""),
        ("nl", "Houd uw adem in.", "unsafe-breath"),
        ("nl", "Ga door de pijn heen.", "unsafe-through-pain"),
        ("ar", "لا تحبس أنفاسك.", ""),
        ("ar", "احبس أنفاسك عند الرفع.", "unsafe-breath"),
        ("ar", "استمر رغم الألم.", "unsafe-through-pain"),
    ],
)
def test_a_not_before_unsafe_words_is_read(language: str, text: str, code: str) -> None:
    found = {
        one.code for one in unsafe_in(text, language, ("steps", 0), lambda offset: Place("x", 1, offset))
    }
    assert found == ({code} if code else set())
