"""Translations against their originals: present, up to date, and stating the same facts.

In order: translations.py (present and up to date), same_line.py (two lines side by side), which_line.py (which of two
is wrong), same_facts.py (item by item).
"""
