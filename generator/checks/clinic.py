"""The clinic's own settings: numbers that can be dialled, bands and times that make sense, actions that act."""

from __future__ import annotations

import re
from collections.abc import Iterator

import phonenumbers
from phonenumbers import shortnumberinfo

from limberleaf.checks.texts import prose_pages
from limberleaf.checks.together import together
from limberleaf.clinical.dosage.pain import WORST
from limberleaf.clinical.governance.approval import approvable, lock_of
from limberleaf.clinical.governance.approvers import language_of, reads, roles_for
from limberleaf.clinical.governance.lock import Lock
from limberleaf.clinical.text_facts import facts_of
from limberleaf.data_files import data_of
from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.library import Library
from limberleaf.library.models.clinic import Clinic
from limberleaf.library.models.exercise import PainBands
from limberleaf.library.models.values import ANY_LANGUAGE
from limberleaf.library.yaml.source import Source
from limberleaf.store.nodes import each

FICTION = re.compile(r"\+441632960\d{3}")
"""Numbers kept for fiction, which no table calls valid (Ofcom, telephone numbers for use in drama)."""

HIGHEST_CARRY_ON = 5
"""Pain of 10 up to which one may carry on: 2 or 3 in published models, up to 5 after the 1997 model (from memory)."""

LONGEST_SHORT = 6
"""Digits of a short number, such as those for urgent advice, at most (the European ones have six: 116xxx)."""

LONGEST_SETTLE = {"seconds": 0, "minutes": 0, "hours": 72, "days": 3}
LONGEST_INTERVAL_YEARS = 3
"""Trusts review patient leaflets after 2 or 3 years (read in stored policies)."""

LATER = re.compile(
    r"\b(tomorrow|next week|next visit|next month|in a few days|when it suits|some day|"
    r"if it (does not|doesn't) (settle|clear|get better)|if it is no better|morgen|volgende week|volgende bezoek|"
    r"over een paar dagen)\b|غد[ًا]ا|الأسبوع (القادم|المقبل)|زيارتك القادمة",
    re.IGNORECASE,
)
_ABOUT_PAIN = re.compile(
    r"\b(?:carry on|ease off|stop|pain|ga door|doe minder|pijn)\b|تابع|خفف|توقف|ألم", re.IGNORECASE
)
_SETTLES = re.compile(
    r"\b(?:settles?|clears?|eases?) (?:with)?in (?:an?|\d+|one|two|three) (?:hours?|days?|weeks?)\b"
    r"|\bbinnen (?:een|\d+|twee|drie) (?:uur|dag|dagen|week|weken) (?:te )?(?:zakken|over|weg)"
    r"|خلال (?:يوم|\d+ ساعة|يومين)",
    re.IGNORECASE,
)
_HOW_SOON = {"emergency": "now, and nothing later", "same_day": "now or today"}
_BAND_LINE = re.compile(
    r"\b(\d{1,2})(?:\s*(?:to|tot|-|–|or|of|and|en)\s*(\d{1,2}))\b|\bAt (\d{1,2}) or (\d{1,2})"
)


def _clinic(library: Library) -> Iterator[Finding]:
    if library.clinic is None:
        return
    clinic, source = library.clinic.entry, library.clinic.source
    yield from _phones(clinic, source)
    yield from _readers(clinic, source)
    yield from _bands(clinic.pain_bands, source, ("pain_bands",))
    for _, loaded in each(library.exercises):
        if loaded.entry.feelings.bands:
            yield from _bands(loaded.entry.feelings.bands, loaded.source, ("feelings", "bands"))
            yield from _own_bands(loaded.entry.feelings.bands, clinic.pain_bands, loaded.source)
    yield from _times(clinic, source)
    yield from _actions(clinic, source)
    yield from _prose(library, clinic)


def _readers(clinic: Clinic, source: Source) -> Iterator[Finding]:
    """Say who is said to read a language and approves nothing, and languages no role may approve."""
    for number, one in enumerate(clinic.review.reads):
        if one.role not in clinic.review.approvers:
            yield Finding(
                "error",
                "reads-unknown",
                f"“{one.role}” is not a role that may approve, so what it reads counts for nothing.",
                f"Write it as under `approvers:`. {did_you_mean(one.role, clinic.review.approvers)}",
                source.place(("review", "reads", number, "role")),
            )
    for language in clinic.languages if clinic.review.approvers else []:
        if not any(reads(role, language, clinic) for role in clinic.review.approvers):
            yield Finding(
                "error",
                "language-nobody-reads",
                f"No role that may approve reads “{language}”, so nothing in it can be approved.",
                "Add the language to a role under `review: reads:`.",
                source.place(("review", "reads"), key=True),
            )


def _nobody_second(library: Library) -> Iterator[Finding]:
    """Say of whose texts one role alone may approve and confirm: nobody else then compares old and new."""
    if library.clinic is None or len(library.settings.review.approvers) < 2:
        return
    clinic, source = library.clinic.entry, library.clinic.source
    lock = lock_of(library) or Lock({})
    kept: dict[tuple[str, str], list[str]] = {}
    for name, loaded in approvable(library):
        language = language_of(name, clinic.language)
        kept.setdefault((loaded.entry.review.owner, language), []).append(name)
    for (owner, language), names in kept.items():
        roles = [one for one in roles_for(language, clinic, lock) if one.casefold() != owner.casefold()]
        if len(roles) > 1:
            continue
        who = (
            f"only “{roles[0]}” may approve them: no second person compares old and new."
            if roles
            else "no other role approves in it: nobody may approve or confirm a change of them."
        )
        yield Finding(
            "note" if roles else "warning",
            "no-second-reader" if roles else "nobody-may-approve",
            f"“{owner}” keeps {len(names)} approved texts in “{language}”, and {who}",
            "Add a role that reads this language to `approvers:` and `reads:`, or let another role keep them.",
            source.place(("review", "approvers")),
        )


def _phones(clinic: Clinic, source: Source) -> Iterator[Finding]:
    country = clinic.country
    if country is None:
        return
    if country not in phonenumbers.SUPPORTED_REGIONS:
        yield Finding(
            "error",
            "country-unknown",
            f"No country is called “{country}”.",
            "Two capital letters: GB, NL, IE.",
            source.place(("country",)),
        )
        return
    for loc, number, emergency in (
        (("phone",), clinic.phone, False),
        (("emergency", "number"), clinic.emergency.number, True),
        (("urgent", "number"), clinic.urgent.number, False),
    ):
        wrong = _wrong_number(number, country, emergency=emergency)
        if wrong:
            yield Finding(
                "error",
                "number-wrong",
                f"“{number}” {wrong} in {country}.",
                "Dial it once. Write it as it is dialled there, or from abroad with + and the country.",
                source.place(loc),
            )
    known = data_of("limberleaf.clinical", "urgent_numbers.yml").get(country)
    digits = re.sub(r"\D", "", clinic.urgent.number)
    if known and len(digits) <= LONGEST_SHORT and digits not in known:
        yield Finding(
            "error",
            "number-wrong",
            f"“{clinic.urgent.number}” is not the number for urgent health advice in {country}: {' or '.join(known)}.",
            "Dial it once. It is the number of another service, or one digit is wrong.",
            source.place(("urgent", "number")),
        )
    same = {clinic.phone, clinic.urgent.number} & {clinic.emergency.number}
    if same:
        yield Finding(
            "error",
            "numbers-alike",
            "The emergency number is one of the clinic's other numbers.",
            "Give each its own.",
            source.place(("emergency", "number")),
        )


def _wrong_number(number: str, country: str, *, emergency: bool) -> str:
    """Say in a few words what is wrong with a number; empty when nothing is."""
    digits = re.sub(r"[\s()./-]", "", number)
    if emergency:
        return "" if shortnumberinfo.is_emergency_number(digits, country) else "is no emergency number"
    try:
        parsed = phonenumbers.parse(number, country)
    except phonenumbers.NumberParseException:
        return "is no telephone number"
    if len(digits) <= LONGEST_SHORT:
        short = shortnumberinfo.is_valid_short_number_for_region(parsed, country)
        return "" if short else "is no short number"
    if FICTION.fullmatch(phonenumbers.format_number(parsed, phonenumbers.PhoneNumberFormat.E164)):
        return ""
    return "" if phonenumbers.is_valid_number(parsed) else "is no number anybody can have"


def _bands(bands: PainBands, source: Source, loc: tuple[str, ...]) -> Iterator[Finding]:
    if (
        bands.carry_on.high > HIGHEST_CARRY_ON
        or bands.stop.low > bands.carry_on.high + 4
        or bands.stop.low > 7
    ):
        yield Finding(
            "error",
            "bands-too-high",
            f"People would carry on with pain of {bands.carry_on.high} of 10 and stop only at {bands.stop.low}.",
            "Published models carry on up to 2 or 3 (at most 5) and stop from 6: write 0-3, 4-5, 6-10.",
            source.place(loc),
        )


def _own_bands(own: PainBands, usual: PainBands, source: Source) -> Iterator[Finding]:
    """Compare the bands of one exercise with the clinic's: they are there to ask for more care, not for less."""
    place = source.place(("feelings", "bands"))
    if own.carry_on.high > usual.carry_on.high or own.stop.low > usual.stop.low:
        yield Finding(
            "warning",
            "bands-looser-than-clinic",
            f"Here people carry on up to {own.carry_on.high} and stop at {own.stop.low}; elsewhere they carry on up "
            f"to {usual.carry_on.high} and stop at {usual.stop.low}.",
            "Leave `bands:` out, so that the clinic's own serve, or write stricter ones.",
            place,
        )
    elif own == usual:
        yield Finding(
            "note",
            "bands-as-clinic",
            "These are the clinic's own bands; when those change, these stay behind.",
            "Leave `bands:` out.",
            place,
        )


def _times(clinic: Clinic, source: Source) -> Iterator[Finding]:
    for language, text in clinic.settle_time.items():
        spoken = clinic.language if language == ANY_LANGUAGE else language
        facts = facts_of(text, spoken)
        numbers = [float(number) for number in (*facts.numbers, *facts.loose)] or (
            [1.0] if facts.units else []
        )
        longest = min((LONGEST_SETTLE.get(unit, 0) for unit in facts.units), default=0)
        if spoken in ("en", "nl", "ar") and (not numbers or max(numbers) > longest):
            yield Finding(
                "error",
                "settle-time-wrong",
                f"“{text}” is no time within which pain should settle.",
                "Write hours or days, up to 3 days: 24 hours (pain-monitoring model).",
                source.place(("settle_time", language) if language != ANY_LANGUAGE else ("settle_time",)),
            )
    interval = clinic.review.interval
    years = interval.number * {"day": 1 / 365, "week": 1 / 52, "month": 1 / 12, "year": 1}[interval.unit]
    if years > LONGEST_INTERVAL_YEARS:
        yield Finding(
            "error",
            "interval-too-long",
            f"A review every {interval.number} {interval.unit}s is too seldom.",
            "Health services review patient texts every 2 or 3 years.",
            source.place(("review", "interval")),
        )


def _actions(clinic: Clinic, source: Source) -> Iterator[Finding]:
    for tier in ("emergency", "same_day"):
        for language, text in getattr(clinic.actions, tier).items():
            spoken = clinic.language if language == ANY_LANGUAGE else language
            late = LATER.search(text)
            soon = facts_of(text, spoken).urgent
            enough = soon == {"now"} if tier == "emergency" else bool(soon)
            if late or (spoken in ("en", "nl", "ar") and not enough):
                why = f"waits (“{late[0]}”)" if late else f"does not say {_HOW_SOON[tier]}"
                yield Finding(
                    "error",
                    "action-too-late",
                    f"The {tier.replace('_', '-')} action {why}.",
                    "Say it: these boxes are read by people who need help.",
                    source.place(
                        ("actions", tier, language) if language != ANY_LANGUAGE else ("actions", tier)
                    ),
                )


def _prose(library: Library, clinic: Clinic) -> Iterator[Finding]:
    """Say bands and settle times typed into prose pages: blanks cannot differ from the pages of exercises."""
    bands = clinic.pain_bands
    named = [f"{band.low}-{band.high}" for band in (bands.carry_on, bands.ease_off, bands.stop)]
    right = {(band.low, band.high) for band in (bands.carry_on, bands.ease_off, bands.stop)}
    for page in prose_pages(library):
        for line in re.finditer(r"[^\n]+", page.markdown):
            if not _ABOUT_PAIN.search(line[0]):
                continue
            if match := _SETTLES.search(line[0]):
                yield _typed(
                    match, "the time in which pain settles", "{settle_time}", page.place(line.start())
                )
            for match in _BAND_LINE.finditer(line[0]):
                low, high = (int(number) for number in match.groups() if number)
                place = page.place(line.start() + match.start())
                if high > WORST or (low, high) == (0, WORST):
                    continue
                if (low, high) in right:
                    yield _typed(
                        match, "a pain band", "{carry_on_pain}, {ease_off_pain} or {stop_pain}", place
                    )
                else:
                    yield Finding(
                        "error",
                        "prose-other-bands",
                        f"“{match[0]}” is none of the clinic's pain bands.",
                        f"They are {', '.join(named)} (clinic.yml). Write {{carry_on_pain}}, {{ease_off_pain}} or "
                        "{stop_pain}, so that they cannot differ.",
                        place,
                    )


def _typed(match: re.Match[str], what: str, blank: str, place: Place) -> Finding:
    return Finding(
        "error",
        "prose-number-typed",
        f"“{match[0]}” is {what}, typed by hand; it would stay when clinic.yml changes.",
        f"Write {blank}: pages fill it in.",
        place,
    )


check_clinic = together(_clinic, _nobody_second)
"""Say numbers that cannot be right, bands and times out of range, and actions that come too late."""
