"""Where parts of the body and things are, and what touches what.

places.py (what a part can touch), contacts.py (contacts as rows), holding.py (hands that hold), edges.py (over the
edge of a bed), body_samples.py (points all over the body), resting.py (what carries unasked).
"""
