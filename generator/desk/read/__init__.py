"""The reading side of the desk: what each of its pages shows.

In order: tables.py (words for measures and counts), prose.py, entries.py (every page of a library with its record),
marked.py (words with their marks), readings.py (how hard each page is, kept between runs), versions.py and changes.py
(what an entry was before), sections.py and charts.py (parts of an entry's page), entry_view.py, overview.py,
tryout.py, sign_off.py and export.py (the overview as CSV and JSON).
"""
