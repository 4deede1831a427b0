"""The editor's desk: what is hard to read and why, what changed, what is due. Never part of a published site.

In order: entries.py (every page of a library with its record), readings.py (how hard each is, kept between runs),
marked.py (the words with their marks), git.py, versions.py and changes.py (what an entry was before), overview.py,
entry_view.py, tryout.py and sign_off.py (what each page of the desk shows), templates/ (its HTML), pages.py (all the
pages together), export.py (the overview as CSV and JSON), app.py (the pages over HTTP, for this machine only).
"""

from limberleaf.desk.pages import Desk, desk_files

__all__ = ["Desk", "desk_files"]
