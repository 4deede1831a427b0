"""Doses, pain bands and gates: inside their range, possible, and the same number wherever it is written."""
