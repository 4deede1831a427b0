"""Doses, pain bands and gates: inside their range, possible, and the same number wherever it is written.

In order: ranges.py (usual doses), impossible.py (slips), pain_numbers.py, typed_numbers.py (numbers that belong in
blanks), weights.py (household things as weights).
"""
