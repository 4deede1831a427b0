"""What to do with a sentence that is too long, from how it is built.

A row becomes a list, a clause of its own a sentence of its own. Where a condition holds the sentence together, nothing
is offered that could part what must both be true: whom to call and when hangs on it.
"""

from __future__ import annotations

import re

from limberleaf.reading.words.text import Line

SHORT = 34
"""Words up to which two conditions read better as a sentence than as a list."""
SHOWN = 4
"""Words of the second sentence that the advice shows."""
_CONDITION = re.compile(r"(?<!\beven )\b(?:if|unless|when|until|once|while)\b")
_DEFINES = re.compile(r"[\w\s-]{3,40}? (?:is|are) an? ")
"""How a sentence begins that says what a thing is: a list takes a definition to pieces."""
_MORE_CONDITIONS = re.compile(r"(?:,|\bor|\band) (?:if|when|unless)\b")
_ROW = re.compile(
    r"(?:[,;](?!\s*(?:which|who|whose|where|but|so|since|because|as|although|though|while)\b)"
    r"(?![^,;]*\b(?:is|are|was|were|can|may|will|should|must)\b)(?=[^,;]*\w\s\w)[^,;]{3,50}){2,}"
    r"(?:,\s*)?\b(?:or|and)\b|\bif\b[^,;]{8,90},(?!\s*or\b)[^,;]{5,60},\s+or\s"
)
"""Three listed things of more than a word each, or three signs after one `if`."""
_STEPS = re.compile(r"\bthen\b.*\b(?:then|after that|after which|finally)\b")
"""Things that come one after the other."""
_CLAUSE_IN_ROW = re.compile(
    r",\s(?!(?:and|but|or|so|which|who|whose|where|when|if|because|while|as|such)\b)[^,;]*"
    r"\b(?:is|are|was|were|has|have|can|may|will)\b[^,;]*$"
)
"""A clause that a comma alone joins to the one before it: cut behind it, the first sentence would be two."""
_BOTH_TRUE = re.compile(r"\b(?:if|unless|when)\b.*\band\b|\b(?:provided that|as long as|but only if)\b")
_CLAUSE = re.compile(
    r";\s*|,\s*(?=and\s(?:you|it|they|this|these|we|he|she|there|do|the\s\w+\s(?:is|are|may|can|will))\b"
    r"|but\s(?:you|your|it|its|they|their|this|that|these|those|we|he|she|there|the|an?|some|most|many|all|do|not)\b)"
)
KEEP_TOGETHER = "Make it shorter, and keep together what must both be true."
LIST = "Make it a list, one line for each."
LIST_OF_STEPS = "Make it a list, one line for each step."
LIST_OF_PAIRS = "Make it a list; what must both be true (“and”) stays on one line."
MORE_ITEMS = "Make several items of it."
INTO_LIST = "Move the first of its points into the list below."


def how_to_split(line: Line) -> str:
    """Advice in a sentence or two for an English sentence that is too long."""
    spoken = line.spoken
    conditions = len(_CONDITION.findall(spoken))
    if spoken.endswith(":"):
        return INTO_LIST
    if _STEPS.search(spoken) and line.kind != "bullet":
        return LIST_OF_STEPS
    clause = _CLAUSE.search(spoken, len(spoken) // 4)
    first = _CONDITION.search(spoken)
    parted = clause is not None and first is not None and clause.start() < first.start()
    if not parted and (
        conditions > 2
        or (conditions and _MORE_CONDITIONS.search(spoken) and len(spoken.split()) > SHORT)
        or (_ROW.search(spoken) and not clause and not _DEFINES.match(spoken))
    ):
        if _BOTH_TRUE.search(spoken):
            return LIST_OF_PAIRS
        return MORE_ITEMS if line.kind == "bullet" else LIST
    if clause and _CLAUSE_IN_ROW.search(spoken[: clause.start()]):
        clause = None
    if clause and not (conditions and spoken.startswith(("if ", "unless ", "when "))):
        second = line.text[line.sentence.start + clause.end() : line.sentence.end].split()
        return f"Make it two sentences: the second begins at “{' '.join(second[:SHOWN])} …”."
    return KEEP_TOGETHER if _BOTH_TRUE.search(spoken) else "Make it shorter, or two sentences."
