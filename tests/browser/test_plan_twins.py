"""The script of the plan page in Chromium does as the generator does: sums, words, links, order, notes, reminders."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import islice, permutations, product
from typing import Any

import pytest
import yaml
from browser.plan_help import GOLDEN, PLAN_TESTS, READY, Begin, four_picks, open_plan
from browser.plan_site import PlanSite
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Page

from limberleaf.clinical.dosage.dose import spoken, table, time_needed, total_line, totals
from limberleaf.clinical.dosage.dose_blanks import blanks
from limberleaf.library.models.exercise import AsComfortable, Dose
from limberleaf.pages.views.plan_data import dose_data
from limberleaf.plan import read_fragment, resolve, write_fragment
from limberleaf.plan.calendar import calendar, reminders_of
from limberleaf.plan.notes import notes
from limberleaf.plan.order import suggested
from limberleaf.plan.resolve import note_texts
from limberleaf.words import interface_words

pytestmark = pytest.mark.browser

CASES = yaml.safe_load((PLAN_TESTS / "cases.yml").read_text("utf-8"))
PLAN_CASES = yaml.safe_load((PLAN_TESTS / "plan_cases.yml").read_text("utf-8"))
WORDS = interface_words("en")
NEARLY = (
    r"#?[12]\.w[0-9]{1,2}(\.d[0-8]{0,4})?(\.a20[0-9]{6})?(\.m[0-9]{1,3}){0,5}"
    r"(\.(0?[a-z]{1,3}[0-9]{1,3}[lrbnq][0-9]{1,2}(s[0-9])?x?|.{0,5})){0,4}\.[0-9a-f]{4}"
)
"""Texts that look like links."""


def test_the_page_adds_up_as_the_table_says(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    for case in CASES:
        found = page.evaluate(
            """async ({code, side, changes}) => {
                const L = limberleaf, exercise = await L.load(code), pick = {code, side, changes};
                const {dose, refused} = L.doseOf(pick, exercise), sides = L.sidesOf(pick, exercise);
                const {session, day, week, repetitions_a_day} = L.totals(dose, sides);
                return {session, day, week, repetitions_a_day, refused, spoken: L.spoken(dose, sides),
                        total: L.totalLine(dose, sides), time: L.timeNeeded(dose, sides),
                        cells: L.cells(dose, sides), blanks: L.blanks(dose)};
            }""",
            {name: case[name] for name in ("code", "side", "changes")},
        )
        assert case.get("blanks", {}).get("en", {}).items() <= found.pop("blanks").items()
        for name, value in found.items():
            assert value == case.get(name, [] if name == "refused" else value), (case["name"], name)


def _doses() -> list[dict[str, Any]]:
    """Doses of every shape: a stride through all combinations, so that neighbours differ in several parts."""
    most = AsComfortable(as_many_as_comfortable=True, up_to=20)
    counted = product(
        [None, "1", "3", "2-3"], ["10", "8-12", "1", "1-2", most], [None, "3 s", "20-30 s", "1 min"],
        [None, {"out": "2 s", "back": "3 s"}, {"out": "2 s", "pause": "1 s", "back": "2-4 s"}],
        [None, "60 s", "90-120 s"],
        [{"times_a_day": "1"}, {"times_a_day": "2"}, {"times_a_day": "2-3"}, {"every": "1 h"}, {"every": "2-3 h"}],
        ["7", "3", "5-7", "1"],
    )  # fmt: skip
    doses = [
        {
            "sets": sets,
            "repetitions": count,
            "hold": hold,
            "tempo": tempo,
            "rest": rest,
            **often,
            "days_a_week": days,
        }
        for sets, count, hold, tempo, rest, often, days in islice(counted, 0, None, 29)
    ]
    timed = product(
        [None, "2", "2-3"], ["30 s", "10 min", "1 h", "90 s", "5-10 min"], [None, "30 s"], ["1", "2-4"]
    )
    doses += [
        {"sets": sets, "duration": time, "rest": rest, "times_a_day": often, "days_a_week": "7"}
        for sets, time, rest, often in timed
    ]
    return [{name: value for name, value in dose.items() if value is not None} for dose in doses]


@pytest.mark.parametrize("language", ["en", "nl", "ar"])
def test_sums_and_words_equal_the_generators_for_every_shape_of_dose(
    visit: Begin, plan_site: PlanSite, language: str
) -> None:
    page = visit(base=plan_site.url).open("plan/" if language == "en" else f"{language}/plan/")
    page.wait_for_function(READY)
    words = interface_words(language)
    cases = [(Dose.model_validate(dose), sides) for dose in _doses() for sides in ("one", "each")]
    found = page.evaluate(
        """cases => cases.map(([dose, sides]) => {
            const L = limberleaf, t = L.totals(dose, sides);
            return [t.session, t.day, t.week, t.repetitions_a_day, t.repetitions_a_go, L.spoken(dose, sides),
                    L.totalLine(dose, sides), L.timeNeeded(dose, sides), L.cells(dose, sides), L.blanks(dose)];
        })""",
        [[dose_data(dose), sides] for dose, sides in cases],
    )
    assert len(found) > 800
    for (dose, sides), answer in zip(cases, found, strict=True):
        sums = totals(dose, sides)
        pairs = [sums.session, sums.day, sums.week, sums.repetitions_a_day, sums.repetitions_a_go]
        expected = [
            *[pair and [pair.low, pair.high] for pair in pairs],
            spoken(dose, sides, words), total_line(dose, sides, words), time_needed(dose, sides, words),
            [[cell.number, cell.label] for cell in table(dose, sides, words)],
            dict(blanks(dose, words)),
        ]  # fmt: skip
        assert answer == expected, dose


def _as_read(page: Page, text: str) -> Any:
    return page.evaluate("text => limberleaf.read(text)", text)


def _same_reading(page: Page, text: str) -> None:
    reading = read_fragment(text)
    found = _as_read(page, text)
    if reading.plan is None:
        assert reading.trouble is not None
        assert found == {"plan": None, "trouble": reading.trouble.code}, text
        return
    plan = reading.plan
    assert found["plan"] == {
        "picks": [vars(pick) for pick in plan.picks], "weeks": plan.weeks, "stop": list(plan.stop),
        "days": list(plan.days), "review": str(plan.review or ""), "notes": list(plan.notes),
    }  # fmt: skip
    assert page.evaluate("plan => limberleaf.write(plan)", found["plan"]) == write_fragment(plan)


def test_links_given_out_are_read_alike(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    for golden in GOLDEN:
        fragment = golden["fragment"]
        for text in (
            fragment,
            fragment.upper(),
            f"#{fragment}.",
            fragment[:-1],
            "9" + fragment,
            f" {fragment}&x=1",
        ):
            _same_reading(page, text)


def test_any_text_is_read_alike(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    texts = st.one_of(
        st.text(max_size=80),
        st.from_regex(NEARLY, fullmatch=True),
    )

    @settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
    @given(texts)
    def check(text: str) -> None:
        if not any(0xD800 <= ord(sign) <= 0xDFFF for sign in text):
            _same_reading(page, text)

    check()


def test_the_order_suggested_equals_the_generators(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    codes = ["kn-01", "kn-02", "kn-03", "kn-05", "kn-11", "kn-12"]
    page.evaluate("codes => Promise.all(codes.map(limberleaf.load))", codes)
    for chosen in islice(permutations(codes, 4), 0, None, 7):
        positions = [plan_site.library.exercises[code].entry.position for code in chosen]
        found = page.evaluate(
            """async codes => {
                const list = [];
                for (const code of codes) list.push({code, exercise: await limberleaf.load(code)});
                const better = limberleaf.order(list);
                return (better || list).map(one => one.code);
            }""",
            list(chosen),
        )
        best = [chosen[i] for i in suggested(positions)]
        levels = [plan_site.library.exercises[code].entry.position for code in found]
        best_levels = [plan_site.library.exercises[code].entry.position for code in best]
        assert found == best or levels == positions, (chosen, found, best, best_levels)


def test_rules_of_a_whole_plan_are_those_of_the_cases(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    found = page.evaluate(
        """async cases => {
            const L = limberleaf;
            const plan = case_ => L.newPlan({...case_, picks: case_.picks.map(([code, side, version, changes]) =>
                ({code, side, version, changes, star: false}))});
            const typed = cases.typed.map(one => L.typed(one.text));
            const long = cases.typed_long.map(one => L.typed(one.text.repeat(one.times)))
                .map(one => [one.picks.length, one.rest.length]);
            const names = Object.keys(cases.day_words.en).map(word => L.typed(word).days);
            const days = cases.days.map(one => L.daysOf(one.often, one.chosen));
            const dates = cases.dates.map(one => L.dayWords(one.day));
            const remarks = [], record = [];
            for (const one of cases.remarks) {
                const now = await L.resolve(plan(one.plan));
                const said = list => list.map(one => L.say("plan.remarks." + one.code, one.values));
                remarks.push([said(now.remarks), said(L.dayRemarks(now))]);
            }
            for (const one of cases.record) {
                record.push(L.notes(await L.resolve(plan(one.plan)), "https://x.example/plan/#1"));
            }
            const weeks = cases.weeks.map(one => L.weeksUntil(one.day, one.today));
            const changes = cases.changes.map(one => L.changes(one.was, one.now));
            return {typed, long, names, days, dates, remarks, record, weeks, changes};
        }""",
        {**PLAN_CASES, "dates": [{"day": case["day"]} for case in PLAN_CASES["dates"]]},
    )
    for case, answer in zip(PLAN_CASES["typed"], found["typed"], strict=True):
        picks = [
            [one["code"], one["side"], one["changes"], *([one["range"]] if "range" in one else [])]
            for one in answer["picks"]
        ]
        assert picks == case["picks"]
        assert [answer["last"]["side"], answer["last"]["changes"]] == case.get("last", ["none", {}]), case
        for name, empty in (("weeks", 0), ("days", []), ("review", ""), ("notes", [])):
            assert answer[name] == case.get(name, empty), case
        assert answer["rest"] == case.get("rest", []), case
    assert found["long"] == [[case["picks"], case["rest"]] for case in PLAN_CASES["typed_long"]]
    assert found["names"] == [[day] if day else [] for day in PLAN_CASES["day_words"]["en"].values()]
    assert found["weeks"] == [case["weeks"] for case in PLAN_CASES["weeks"]]
    assert found["days"] == [case["falls_on"] for case in PLAN_CASES["days"]]
    assert found["dates"] == [case["en"] for case in PLAN_CASES["dates"]]
    assert found["remarks"] == [
        [case.get("patient", []), case.get("clinician", [])] for case in PLAN_CASES["remarks"]
    ]
    assert found["changes"] == [case["said"] for case in PLAN_CASES["changes"]]
    assert found["record"] == [case["lines"] for case in PLAN_CASES["record"]]


@pytest.mark.parametrize("language", ["nl", "ar"])
def test_a_day_is_written_and_read_as_the_language_does(
    visit: Begin, plan_site: PlanSite, language: str
) -> None:
    page = visit(base=plan_site.url).open(f"{language}/plan/")
    page.wait_for_function(READY)
    for case in PLAN_CASES["dates"]:
        assert page.evaluate("day => limberleaf.dayWords(day)", case["day"]) == case[language]
    page.locator("#make-code").wait_for()
    for word, day in PLAN_CASES["day_words"][language].items():
        found = page.evaluate("word => limberleaf.typed(word).days", word)
        assert found == ([day] if day else []), word


def test_notes_and_reminders_equal_the_generators(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    plan = replace(four_picks(plan_site), days=(2, 4, 6), review=date(2026, 12, 21), notes=("note-02",))
    fragment, link = write_fragment(plan), "https://x.example/plan/#1"
    resolved = resolve(plan, plan_site.library, "en")
    titles = {code: plan_site.library.exercises[code].entry.title for code in plan.stop}
    found = page.evaluate(
        """async ([fragment, link]) => {
            const L = limberleaf;
            await L.script(L.data.scripts.calendar);
            const found = await L.resolve(L.read(fragment).plan);
            L.planAddress = () => link;
            const calendar = withLink =>
                L.calendar(L.reminders(found, fragment, "2026-12-03", withLink), "20261125T083000Z");
            return [L.notes(found, link), calendar(true), calendar(false)];
        }""",
        [fragment, link],
    )
    stamp, start = datetime(2026, 11, 25, 8, 30, tzinfo=UTC), date(2026, 12, 3)
    assert found[0] == notes(resolved, WORDS, titles, note_texts(plan_site.library, "en"), link)
    assert found[1] == calendar(reminders_of(resolved, WORDS, start, fragment, link), stamp)
    assert found[2] == calendar(reminders_of(resolved, WORDS, start, fragment), stamp)
