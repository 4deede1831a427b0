"""The library as HL7 FHIR: an ActivityDefinition for each exercise, a PlanDefinition for each ladder, a Questionnaire.

R4 (4.0.1) and R5 (5.0.0), each as one Bundle of the type collection. Coded values are those of HL7's own code systems,
which need no licence; what only a licensed system could code (regions, kinds) stays words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal

from limberleaf.open_data.model import DoseData, ExerciseData, LadderData, LibraryData, Range
from limberleaf.words import InterfaceWords

Release = Literal["R4", "R5"]
VERSIONS: Mapping[Release, str] = {"R4": "4.0.1", "R5": "5.0.0"}
PLAN_TYPE = "http://terminology.hl7.org/CodeSystem/plan-definition-type"
ANSWERS = ("yes", "partly", "no")


def bundle_head(data: LibraryData) -> dict[str, Any]:
    """Give a Bundle of all resources of a library before its entries."""
    return {
        "resourceType": "Bundle",
        "id": f"library-{data.language}",
        "language": data.language,
        "type": "collection",
    }


def in_bundle(resource: Mapping[str, Any]) -> dict[str, Any]:
    """Give a resource as an entry of a Bundle."""
    return {"fullUrl": resource["url"], "resource": resource}


def _canonical(data: LibraryData, kind: str, name: str) -> str:
    return f"{data.site}data/fhir/{kind}/{name}-{data.language}"


def _head(kind: str, name: str, title: str, data: LibraryData, record: Any) -> dict[str, Any]:
    made: dict[str, Any] = {
        "resourceType": kind,
        "id": f"{name}-{data.language}",
        "language": data.language,
        "url": _canonical(data, kind, name),
        "version": str(record.version),
        "name": "".join(part.capitalize() for part in name.split("-")),
        "title": title,
        "status": "active",
        "experimental": False,
        "publisher": data.clinic,
        "copyright": data.notice,
    }
    if record.reviewed:
        made |= {"date": record.reviewed.isoformat(), "lastReviewDate": record.reviewed.isoformat()}
    return made


def _page_of(title: str, url: str) -> dict[str, Any]:
    """Name the page that shows it; R5 has taken `url` out of RelatedArtifact, `document` is in both."""
    return {"type": "documentation", "display": title, "document": {"contentType": "text/html", "url": url}}


def activity(one: ExerciseData, data: LibraryData) -> dict[str, Any]:
    """Give an exercise as an ActivityDefinition."""
    made = _head("ActivityDefinition", one.code, one.title, data, one.record)
    cautions = "\n\n".join(
        "\n".join([f"**{box.title}**", *(f"- {sign}" for sign in box.signs), box.action])
        for box in one.cautions
    )
    steps = "\n".join(f"{number}. {step}" for number, step in enumerate([*one.setup, *one.steps], 1))
    made |= {
        "description": f"{one.aim}\n\n{steps}\n\n{one.dose.words}\n\n{cautions}".strip(),
        "purpose": one.aim,
        "usage": "\n".join(f"- {line}" for line in one.leave_out_if),
        "relatedArtifact": [_page_of(one.title, one.url)],
        "kind": "ServiceRequest",
        "code": {"text": one.title},
        "intent": "proposal",
        "timingTiming": _timing(one.dose),
        "bodySite": [{"text": one.region.replace("_", " ")}],
    }
    return made


def _timing(dose: DoseData) -> dict[str, Any]:
    """Say how often a day; a Timing cannot say how many days a week without naming them, so its text does."""
    repeat: dict[str, Any] = {"frequency": dose.times_a_day.low, "period": 1, "periodUnit": "d"}
    if dose.times_a_day.high > dose.times_a_day.low:
        repeat["frequencyMax"] = dose.times_a_day.high
    if dose.days_a_week.low < 7 and dose.times_a_day == Range(low=1, high=1):
        repeat = {"frequency": dose.days_a_week.low, "period": 1, "periodUnit": "wk"}
        if dose.days_a_week.high > dose.days_a_week.low:
            repeat["frequencyMax"] = dose.days_a_week.high
    if dose.duration_seconds:
        repeat |= {"duration": dose.duration_seconds.low, "durationUnit": "s"}
        if dose.duration_seconds.high > dose.duration_seconds.low:
            repeat["durationMax"] = dose.duration_seconds.high
    return {"repeat": repeat, "code": {"text": dose.words}}


def plan(one: LadderData, data: LibraryData, titles: Mapping[str, str], release: Release) -> dict[str, Any]:
    """Give a ladder as a PlanDefinition; `titles` are those of its exercises that have a page, by code."""
    made = _head("PlanDefinition", one.id, one.title, data, one.record)
    own_id, target = ("id", "actionId") if release == "R4" else ("linkId", "targetId")
    steps: list[dict[str, Any]] = []
    for number, rung in enumerate(one.steps, 1):
        if rung.exercise not in titles:
            continue
        conditions = [rung.start_here_if, rung.move_on_when or "", rung.step_back_when]
        step: dict[str, Any] = {
            own_id: f"step-{number}",
            "title": titles[rung.exercise],
            "description": " ".join(filter(None, conditions)),
            "definitionCanonical": _canonical(data, "ActivityDefinition", rung.exercise),
        }
        if steps:
            step["relatedAction"] = [{target: steps[-1][own_id], "relationship": "after-end"}]
        steps.append(step)
    made |= {
        "description": one.aim,
        "type": {"coding": [{"system": PLAN_TYPE, "code": "clinical-protocol"}]},
        "relatedArtifact": [_page_of(one.title, one.url)],
        "action": [
            {
                "title": one.title,
                "groupingBehavior": "logical-group",
                "selectionBehavior": "exactly-one",
                "action": steps,
            }
        ],
    }
    return made


def questionnaire(data: LibraryData, words: InterfaceWords, release: Release) -> dict[str, Any]:
    """Give the question whether a page was clear."""
    name = "was-this-clear"
    return {
        "resourceType": "Questionnaire",
        "id": f"{name}-{data.language}",
        "language": data.language,
        "url": _canonical(data, "Questionnaire", name),
        "version": "1",
        "name": "WasThisClear",
        "title": words.say("open_data.clear"),
        "status": "active",
        "experimental": False,
        "publisher": data.clinic,
        "copyright": data.notice,
        "item": list(_questions(words, release)),
    }


def _questions(words: InterfaceWords, release: Release) -> Iterator[dict[str, Any]]:
    yield {
        "linkId": "clear",
        "text": words.say("open_data.clear"),
        "type": "choice" if release == "R4" else "coding",
        "required": True,
        "answerOption": [
            {"valueCoding": {"code": answer, "display": words.say(f"open_data.{answer}")}}
            for answer in ANSWERS
        ],
    }
    yield {"linkId": "what", "text": words.say("open_data.what"), "type": "text", "required": False}
