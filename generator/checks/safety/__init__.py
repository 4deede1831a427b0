"""Cautions, warning signs and unsafe words: what a page must warn of, and what none may say.

In order: cautions.py, safety_signs.py, unsafe_words.py (with supports nobody may lean on), search_words.py (words
that must not lead to an exercise).
"""
