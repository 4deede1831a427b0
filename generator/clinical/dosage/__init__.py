"""How much of an exercise is done.

In order: dose.py (the dose and its sums), dose_parts.py (its numbers by name), dose_blanks.py (the blanks of a text
that a dose fills), usual.py (usual doses) and pain.py (pain bands).
"""
