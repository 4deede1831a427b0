"""Approval and review: who may say yes, to what, and what a change since then needs.

In order: fact_words.py (words whose change is no mere wording), places.py (where something stands, for a reader),
change_kinds.py (what a change can mean), search_words.py (words that lead to a page), difference.py (what changed
between two states), names.py (titles for codes), waiting.py (what waits for a second person), lock.py (the file
`approved.lock`), approval.py (what was approved and what it is now), approvers.py (who may approve), recording.py (a
yes written down) and review.py (when each page is due again).
"""
