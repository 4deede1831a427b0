"""The figure in words: the alternative text.

describe.py (the sentences), turns.py (what moves), said_signs.py (signs that have to be said).
"""
