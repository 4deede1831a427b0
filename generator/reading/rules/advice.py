"""What to do with a sentence that is too long, told from how it is built.

A row becomes a list, a clause of its own a sentence of its own. Where a condition holds the sentence together, nothing
is offered that could part what must both be true: whom to call and when hangs on it.
"""

from __future__ import annotations

import re

from limberleaf.reading.text import Line

SHOWN = 4
"""Words of the second sentence that the advice shows."""
_CONDITION = re.compile(r"\b(?:if|unless|when|until|once|while)\b")
_MORE_CONDITIONS = re.compile(r"(?:,|\bor|\band) (?:if|when|unless)\b")
_ROW = re.compile(r"(?:[,;][^,;]{3,90}){2,}\b(?:or|and)\b")
_CLAUSE = re.compile(
    r"(?:[;:]\s*|,\s*|\s[–—]\s)(?=and\s(?:you|it|they|this|these|we|he|she|there|do|the\s\w+\s(?:is|are|may|can|will))\b"
    r"|(?:but|so|although|though|whereas|because|since|while)\s(?:you|your|it|its|they|their|this|that|these|those|we|he|she"
    r"|there|the|an?|some|most|many|all|do|not)\b"
    r"|(?:they|it|you|this|these|we|he|she|there|do|the)\b)|,\s*(?=which\s(?:is|are|can|may|will|means?)\b)"
)
KEEP_TOGETHER = "Make it shorter, and keep together what must both be true."
LIST = "Make it a list, one line for each."


def how_to_split(line: Line) -> str:
    """Advice in a sentence or two for an English sentence that is too long."""
    spoken = line.spoken
    conditions = len(_CONDITION.findall(spoken))
    if len(_MORE_CONDITIONS.findall(spoken)) >= 1 or (_ROW.search(spoken) and not _CLAUSE.search(spoken)):
        return LIST
    clause = _CLAUSE.search(spoken, len(spoken) // 4)
    if clause and not (conditions and spoken.startswith(("if ", "unless ", "when "))):
        second = line.text[line.sentence.start + clause.end() : line.sentence.end].split()
        return f"Make it two sentences: the second begins at “{' '.join(second[:SHOWN])} …”."
    if conditions:
        return KEEP_TOGETHER
    return "Make it shorter, or two sentences."
