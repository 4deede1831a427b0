"""A plan: the exercises a clinician picked for one patient, carried in a link and nowhere else.

In order: model.py (what a plan holds), codec.py (a plan as the fragment of an address, and back), limits.py (what a
plan may change in a dose), resolve.py (a plan against the library: doses, totals, what to stop, what to say), days.py
(days of the week), order.py (few ups and downs), ready.py (ready sets and ladder steps), remarks.py, typed.py (a plan
as a clinician types it), notes.py (lines for the clinical record), calendar.py (reminders with an end). A plan names
no person, has no free text and is never stored by us.
"""

from limberleaf.plan.codec import Reading, Trouble, read_fragment, write_fragment
from limberleaf.plan.model import Pick, Plan
from limberleaf.plan.resolve import Resolved, resolve

__all__ = [
    "Pick",
    "Plan",
    "Reading",
    "Resolved",
    "Trouble",
    "read_fragment",
    "resolve",
    "write_fragment",
]
