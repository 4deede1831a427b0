"""Commands that ask whether a library is right.

check.py, review.py with review_record.py and review_confirm.py, ask.py.
"""
