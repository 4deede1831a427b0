"""The form of an entry.

In order: fields.py (what it asks, from the typed models), form_words.py (findings in the words of the form) and
dummy_values.py (values in place of missing ones, so that one mistake hides no other).
"""
