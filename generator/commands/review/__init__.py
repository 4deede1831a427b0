"""Commands that ask whether a library is right: check, review (`review_record.py`, `review_confirm.py`), ask."""
