"""Translations as translators work: one sentence a unit, in XLIFF 2.1 or PO, out and in again.

In order: units.py (an entry's sentences beside their translation), library_units.py (all that a library has to
translate, with what older translations can lend), xliff.py and po.py (the two files), bring_in.py (units back into
translation files), coverage.py (how much of the library each language has), pseudo.py (a library in which every text of
an entry can be told from every other).
"""
