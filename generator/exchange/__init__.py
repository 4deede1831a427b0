"""Bringing in what a clinic has and taking everything out again: spreadsheets, documents, translators' files.

In order: cells.py (one value as the text of a cell), columns.py (the columns of a table, from the typed entries),
workbook.py and csv_table.py (the two files), table.py (a library as rows), table_in.py (rows back into entries),
changes.py (writing what changed, all of it or nothing).
"""
