"""Bringing in what a clinic has and taking everything out again: spreadsheets, documents, translators' files.

A table, in order: cells.py (one value as the text of a cell), columns.py (the columns, from the typed entries),
sheet.py (a table as it was read), workbook.py and csv_table.py (the two files), table.py (a library as rows),
table_in.py (rows back into entries), trail.py (what tables wrote,
so that one working file serves all week). A document: handout.py (its blocks), dose_words.py (the numbers of a dose),
draft.py (a draft entry). For all of them: trial.py (the findings that changes would bring) and entries.py (writing
everything that changed, or nothing).

Translations are in translation/.
"""
