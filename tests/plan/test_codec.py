"""A plan as a link: what goes in comes out, old links stay readable, and nothing that comes in can do harm."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from time import perf_counter

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from limberleaf.plan import Pick, Plan, read_fragment, write_fragment
from limberleaf.plan.codec import LONGEST, check_of
from limberleaf.plan.model import FIELDS

GOLDEN = yaml.safe_load((Path(__file__).parent / "golden_fragments.yml").read_text("utf-8"))

codes = st.from_regex(r"[a-z]{2,4}-[0-9]{2,3}", fullmatch=True)
picks = st.builds(
    Pick,
    code=codes,
    side=st.sampled_from(["left", "right", "turn", "none"]),
    version=st.integers(1, 9999),
    changes=st.dictionaries(st.sampled_from(sorted(FIELDS.values())), st.integers(0, 9999)),
    star=st.booleans(),
)
plans = st.builds(
    Plan,
    picks=st.lists(picks, min_size=1, max_size=20, unique_by=lambda pick: (pick.code, pick.side)).map(tuple),
    weeks=st.integers(1, 52),
    stop=st.lists(codes, max_size=20, unique=True).map(tuple),
    days=st.sets(st.integers(1, 7)).map(sorted).map(tuple),
    review=st.none() | st.dates(date(2000, 1, 1), date(2099, 12, 31)),
    notes=st.lists(st.from_regex(r"note-[0-9]{2,3}", fullmatch=True), max_size=4, unique=True).map(tuple),
)


@given(plans)
def test_what_is_written_is_read_back(plan: Plan) -> None:
    fragment = write_fragment(plan)
    assert read_fragment(fragment).plan == plan
    assert read_fragment(f"#{fragment}").plan == plan


@given(plans)
def test_a_link_survives_capitals_and_what_chats_put_behind_it(plan: Plan) -> None:
    fragment = write_fragment(plan)
    for sent in (
        fragment.upper(),
        fragment + ".",
        fragment + ") thanks!",
        fragment + "&utm=1",
        f"  {fragment}\n",
    ):
        assert read_fragment(sent).plan == plan


@given(plans)
def test_a_link_holds_only_letters_digits_and_dots(plan: Plan) -> None:
    """RFC 3986 section 2.3: these are unreserved, so no program has a reason to encode them."""
    assert re.fullmatch(r"[0-9a-z.]+", write_fragment(plan))


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["fragment"][:24])
def test_links_given_out_stay_readable(golden: dict[str, object]) -> None:
    reading = read_fragment(str(golden["fragment"]))
    assert reading.plan is not None
    assert reading.plan.weeks == golden["weeks"]
    assert list(reading.plan.stop) == golden["stop"]
    days, review, notes = (golden.get(name) for name in ("days", "review", "notes"))
    assert [*reading.plan.days] == (days or [])
    assert reading.plan.review == review
    assert [*reading.plan.notes] == (notes or [])
    assert [vars(pick) for pick in reading.plan.picks] == golden["picks"]
    assert write_fragment(reading.plan) == golden["fragment"]


def test_the_check_is_the_published_one() -> None:
    """CRC-16/XMODEM in the catalogue of parametrised CRC algorithms: check value 0x31C3 for "123456789"."""
    assert check_of("123456789") == "31c3"


@settings(max_examples=200)
@given(plans, st.data())
def test_a_changed_sign_is_noticed(plan: Plan, data: st.DataObject) -> None:
    """A CRC of 16 bits finds every error burst of up to 16 bits, so every change of one sign."""
    fragment = write_fragment(plan)
    at = data.draw(st.integers(0, len(fragment) - 1))
    other = data.draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz0123456789."))
    changed = fragment[:at] + other + fragment[at + 1 :]
    if changed.rstrip(".") != fragment:
        assert read_fragment(changed).plan is None


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda one: one["fragment"][:20])
def test_a_link_cut_short_anywhere_is_refused(golden: dict[str, str]) -> None:
    fragment = golden["fragment"]
    for length in range(1, len(fragment)):
        assert read_fragment(fragment[:length]).plan is None


def test_ten_exercises_with_every_number_changed_stay_under_300_signs() -> None:
    """Limit of the design. Every number a dose can have at once is changed: a dose is counted or timed, never both."""
    changes = {"sets": 3, "repetitions": 12, "hold": 30, "rest": 120, "times_a_day": 3, "days_a_week": 5}
    ten = tuple(Pick(f"kn-{number}", "left", 12, changes, number == 10) for number in range(10, 20))
    plan = Plan(ten, 12, ("kn-01", "kn-02", "kn-03"))
    assert len(write_fragment(plan)) < 300
    usual = Plan(tuple(Pick(f"kn-{number}", "left", 3, {"sets": 2}) for number in range(10, 20)), 6)
    assert len(write_fragment(usual)) < 130


@pytest.mark.parametrize(
    ("fragment", "trouble"),
    [
        ("", "empty"), ("#", "empty"), ("   ", "empty"),
        ("x" * (LONGEST + 1), "too_long"), ("1." * 5_000_000, "too_long"),
        ("hello", "no_plan"), ("#main", "no_plan"), ("1", "no_plan"), ("....", "no_plan"), ("<script>", "no_plan"),
        ("1.w6.\u0661kn03l1.aaaa", "no_plan"), ("１.w6.kn03l1.aaaa", "no_plan"), ("\x00\x01", "no_plan"),
        ("2.w6.kn03l1.aaaa", "damaged"), ("3.w6.kn03l1.aaaa", "newer"), ("999.anything.aaaa", "newer"),
        ("1.w6.kn03l1.0000", "damaged"), ("1.w6.kn03l1", "damaged"), ("1.<b>", "no_plan"),
    ],
)  # fmt: skip
def test_what_is_no_plan_has_a_trouble_with_a_name(fragment: str, trouble: str) -> None:
    reading = read_fragment(fragment)
    assert reading.plan is None
    assert reading.trouble is not None
    assert reading.trouble.code == trouble


@pytest.mark.parametrize(
    "body",
    ["1.w6", "1.w0.kn03l1", "1.w53.kn03l1", "1.w6.kn03", "1.w6.kn03l0", "1.w6.kn03q1", "1.w6.kn03l1z5", "1.w6..kn03l1",
     "2.w6.d.kn03l1", "2.w6.d31.kn03l1", "2.w6.d8.kn03l1", "2.w6.d11.kn03l1", "2.w6.a20260230.kn03l1",
     "2.w6.a2026123.kn03l1", "2.w6.m4.kn03l1", "2.w6.m04.d1.kn03l1", "2.w6.m04", "1.w6.d1.kn03l1", "2.w6.kn03l1.m04",
     "1.w6.kn03l1s2s3", "1.w6.k03l1", "1.w6.kn0003l1", "1.kn03l1", "1.w6.0kn01", "1.w6.kn03l1s12345"],
)  # fmt: skip
def test_a_whole_link_with_wrong_parts_is_no_plan(body: str) -> None:
    assert read_fragment(f"{body}.{check_of(body)}").plan is None


def test_more_exercises_than_a_plan_can_hold_are_refused() -> None:
    body = "1.w6." + ".".join(f"kn{number}l1" for number in range(10, 31))
    reading = read_fragment(f"{body}.{check_of(body)}")
    assert reading.trouble is not None
    assert reading.trouble.code == "too_many"


@settings(max_examples=1000)
@given(st.one_of(st.text(max_size=300), st.binary(max_size=300).map(lambda raw: raw.decode("latin-1")),
                 st.from_regex(r"1\.w[0-9]{1,2}(\.[0-9a-z]{1,12}){0,8}\.[0-9a-f]{4}", fullmatch=True)))  # fmt: skip
def test_any_text_gives_a_plan_or_a_trouble(text: str) -> None:
    reading = read_fragment(text)
    assert (reading.plan is None) != (reading.trouble is None)


def test_a_long_hostile_text_costs_no_time() -> None:
    start = perf_counter()
    for text in (
        "1.w6." + "a" * 1990,
        "1.w6." + "kn03l1" + "s1" * 990,
        "." * 2000,
        "1" * 2000,
        "1.w6." + "0" * 1990,
    ):
        body = text[:1990]
        assert read_fragment(f"{body}.{check_of(body)}").plan is None
    assert perf_counter() - start < 0.5
