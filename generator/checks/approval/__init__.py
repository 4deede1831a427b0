"""Who approved what and when, and whether it is still what was approved.

In order: places.py (where a change stands), approvals.py (words that changed since), lost_boxes.py (pages that lost
a caution), second_person.py (what waits for a second person), review.py (what is due).
"""
