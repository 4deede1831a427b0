"""What an entry says twice: one slip a case in a copy of the demo library, and the finding that must name it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import pytest
from checks.test_safety_net import Planted

from limberleaf.checks import meaning
from limberleaf.checks.translation.same_line import difference_of_facts

FALLEN_OUT = "in-no-ladder"
KN, AN, LB = "exercises/knee/kn-", "exercises/ankle/an-", "exercises/low_back/lb-"
SH = "exercises/shoulder/sh-"
CASES = [
    (f"{AN}03.yml", "  - {item: wall}\n", "", "used-but-not-listed"),
    # lines against what their list is for
    (f"{KN}04.yml", "You cannot put your full weight", "You can put your full weight", "trouble-turned"),
    (f"{KN}03.yml", "Do not swing your leg.", "Swing your leg.", "warning-lost"),
    (f"{KN}03.yml", "Do not swing your leg.", "Do swing your leg.", "not-lost"),
    (f"{KN}04.yml", "Your knees creak or click with no pain.", "You get a sharp pain.", "alarm-called-fine"),
    (f"{KN}03.yml", "    - You feel sharp pain in your knee.\n", "", "feelings-too-few"),
    (f"{KN}03.yml", "{acceptable_pain} out of 10", "much", "pain-limit-missing"),
    (f"{LB}14.yml", "Your leg or foot is getting weaker.", "Your leg feels like that.", "no-trouble-named"),
    # steps against dose, equipment and captions
    (f"{KN}03.yml", "  - Hold while you count to {hold_count}.\n", "", "hold-not-told"),
    (f"{KN}03.yml", "  - Lower your foot slowly to the floor.\n", "", "no-way-back"),
    ("exercises/neck/ne-03.yml", "  - Hold the edge of the seat with the hand of your {affected} arm.\n", "",
     "caption-without-step"),
    ("exercises/shoulder/sh-10.yml", "  - Hold the weight in your top hand.\n", "", "listed-but-not-used"),
    ("exercises/shoulder/sh-07.yml", "{kind: stick, held_by: both hands}", "{kind: ball, held_by: both hands}",
     "listed-but-not-drawn"),
    (f"{AN}06.yml", "Lift both heels as high", "Lower both heels as high", "movement-other-way"),
    ("exercises/shoulder/sh-09.yml", "arm slide up your back", "arm slide down your back", "title-against-step"),
    (f"{SH}04.yml", "hold for {hold_count}, down.", "hold for {hold_count}, up.", "direction-unlikely"),
    # words against poses
    (f"{LB}14.yml", "Straighten the knee until you feel", "Bend the knee until you feel", "movement-other-way"),
    (f"{KN}11.yml", "height: 0.13", "height: 0.3", "step-height"),
    (f"{AN}05.yml", "around: affected ball of foot", "around: other ball of foot", "thing-on-other-side"),
    (f"{KN}13.yml", "under: affected heel", "under: affected knee", "thing-on-other-part"),
    (f"{AN}04.yml", "highlight: affected calf", "highlight: other calf", "colour-on-other-side"),
    (f"{KN}02.yml", "arrow: affected heel", "arrow: affected hand", "arrow-on-still-limb"),
    ("exercises/neck/ne-06.yml", "side_bend_other: ", "side_bend_affected: ", "turned-to-other-side"),
    # bent or straight, in the words and in every panel
    (f"{KN}03.yml", "knee: {flexion: 5}", "knee: {flexion: 50}", "straight-or-bent"),
    (f"{SH}07.yml", "both: {elbow: {flexion: 90}}", "both: {elbow: {flexion: 5}}", "straight-or-bent"),
    (f"{KN}02.yml", "Bend your {other} knee", "Straighten your {other} knee", "straight-or-bent"),
    ("exercises/neck/ne-01.nl.yml", "met uw knieën gebogen", "met uw knieën recht", "straight-or-bent"),
    (f"{KN}02.ar.yml", "اثنِ ركبتك {other}", "افرد ركبتك {other}", "straight-or-bent"),
    # things and arrows
    ("exercises/whole_body/ba-03.yml", "worktop, beside: other", "worktop, beside: affected", "thing-on-other-side"),
    (f"{KN}06.yml", "other fingertip", "affected fingertip", "thing-on-other-side"),
    (f"{SH}07.yml", "arrow: affected hand", "arrow: affected elbow", "arrow-on-still-limb"),
    (f"{KN}02.yml", "arrow: affected heel", "arrow: affected elbow", "arrow-on-still-limb"),
    # numbers of the dose and of the ladder
    (f"{AN}06.yml", "back: 3 s", "back: 1 s", "slow-in-a-second"),
    ("ladders/arm-nerve.yml", "only once a day", "only twice a day", "ladder-differs-from-dose"),
    ("ladders/walk-further.yml", "add 2 minutes", "add 20 minutes", "ladder-differs-from-page"),
    # what an exercise is
    (f"{KN}06.yml", "fall_risk]", "]", "tag-missing"),
    (f"{KN}03.yml", "region: knee", "region: elbow", "region-other-folder"),
    (f"{LB}14.yml", "base_side: The other foot stays flat\n", "", "no-base-side"),
    (f"{AN}02.yml", "The foot of your {affected} leg", "The foot of your {other} leg", "sides-disagree"),
    # numbers in words, rules of ladders
    (f"{KN}03.yml", "Hold while you count to {hold_count}.", "Hold while you count to ninety.", "number-not-in-dose"),
    ("exercises/neck/ne-02.nl.yml", "tot {hold_count}", "tot negentig", "number-not-in-dose"),
    (f"{KN}03.yml", '"{sets} {days_a_week}."', '"{sets} every day."', "words-differ-from-dose"),
    (f"{KN}03.yml", "Hold while you count to {hold_count}.", "Hold for a minute.", "words-differ-from-dose"),
    (f"{KN}03.yml", "slowly to the floor.", "slowly to the floor, fifty times.", "words-differ-from-dose"),
    (f"{KN}03.yml", "3 sets of 12 on 2 training", "4 sets on 2 training", "gate-above-dose"),
    ("ladders/back-turning.yml", "holds for 20 seconds", "holds for a minute", "ladder-time-unknown"),
    ("ladders/back-bending.yml", "Bending forward spreads", "Arching back spreads", "sent-to-what-hurts"),
    ("ladders/ankle-strength.yml", "lift your heel 5 times", "lift your heel 11 times", "rule-not-the-same"),
    # where things stand and how hands are held
    ("exercises/whole_body/ba-03.yml", "Stand side on to a worktop with one hand on top.",
     "Stand with your back to a worktop.", "thing-elsewhere"),
    (f"{AN}03.yml", "Stand facing a wall", "Stand with your back to a wall", "thing-elsewhere"),
    (f"{KN}04.yml", "Stand facing a worktop", "Stand side on to a worktop", "thing-elsewhere"),
    ("exercises/neck/ne-05.yml", "wrist: {extension: 60}", "wrist: {flexion: 60}", "held-other-way"),
    ("exercises/neck/ne-04.yml", "  - Turn that palm up.", "  - Keep that palm down.", "held-other-way"),
    (f"{LB}09.yml", "lead: affected", "lead: other", "moves-the-one-below"),
    ("exercises/shoulder/sh-09.yml", "out of place before", "out of place this week", "reason-narrowed"),
    (f"{KN}03.yml", "You feel sharp pain in your knee.", "You feel unbearable pain in your knee.", "reason-narrowed"),
    # boxes and approvals
    ("cautions/clot-same-day.yml", "tier: same_day\n", "tier: same_day\naction: Call us today or next week.\n",
     "action-too-late"),
    (f"{KN}03.yml", "version: 4}", "version: 3}", "version-went-down"),
    # translations and prose
    ("exercises/neck/ne-01.nl.yml", "Kijk recht omhoog", "Kijk recht omlaag", "translation-other-direction"),
    ("pages/how-to-use.nl.md", "voor vandaag.", "voor 3 dagen.", "translation-other-number"),
    ("exercises/neck/ne-03.nl.yml", "Houd vast en tel tot {hold_count}.", "Houd vast en tel even.",
     "translation-other-blanks"),
    ("ladders/arm-nerve.nl.yml", "blijven langer dan 1 minuut", "blijven langer dan 1 uur", "translation-other-unit"),
    ("exercises/neck/ne-03.nl.yml", "U voelt een stevige rek van uw oor tot uw schouder.", "Een stevige rek.",
     "translation-says-less"),
    ("exercises/neck/ne-03.nl.yml", "    - U wordt duizelig.\n", "    - U wordt duizelig.\n    - U valt om.\n",
     "translation-item-added"),
    ("pages/how-to-use.nl.md", "- Pijn van {carry", "- Een regel meer.\n- Pijn van {carry", "translation-other-length"),
]  # fmt: skip


@pytest.fixture(scope="module")
def planted(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planted]:
    yield Planted(tmp_path_factory.mktemp("meaning"))


@pytest.mark.parametrize(("path", "find", "put", "code"), CASES, ids=[f"{c[3]} {c[0][-9:-4]}" for c in CASES])
def test_a_slip_is_named_at_its_file(planted: Planted, path: str, find: str, put: str, code: str) -> None:
    found = planted.with_edit(path, find, put)
    named = [one for one in found if one.code == code]
    assert path in {one.place.path for one in named}, sorted({one.code for one in found})
    assert all(one.severity in ("error", "warning") for one in named)


def test_in_prose_a_stop_said_otherwise_hides_no_turned_direction() -> None:
    ours, theirs = (
        "They say when to stop. Lift your leg up.",
        "Ze zeggen wanneer u stopt. Beweeg uw been omlaag.",
    )
    found = difference_of_facts(ours, theirs, "en", "nl", prose=True)
    assert found is not None
    assert found[0] == "translation-other-direction"
    assert difference_of_facts(ours, theirs.replace("omlaag", "omhoog"), "en", "nl", prose=True) is None


def test_an_exercise_that_fell_out_of_its_ladder_is_named_at_its_entry(planted: Planted) -> None:
    found = planted.with_edit("ladders/knee-strength.yml", "exercise: kn-15", "exercise: kn-05")
    assert [one.place.path for one in found if one.code == FALLEN_OUT] == [f"{KN}15.yml"]


def test_every_check_of_meaning_has_a_case() -> None:
    """The package writes hyphens in codes of findings only; cases of some files lie in the other tests of checks."""
    elsewhere = {"agreement.py", "sides.py", "drawn_sides.py", "facts.py"}
    sources = [
        Path(str(file))
        for file in files(meaning).iterdir()
        if file.name.endswith(".py") and file.name not in elsewhere
    ]
    texts = {
        node.value
        for source in sources
        for node in ast.walk(ast.parse(source.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    codes = {text for text in texts if re.fullmatch("[a-z]+(-[a-z]+)+", text)}
    assert len(codes) > 20
    assert codes - {case[3] for case in CASES} == {FALLEN_OUT}
