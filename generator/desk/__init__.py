"""The editor's desk: what is hard to read and why, what changed, what is due. Never part of a published site.

In order: answers.py (what an answer over HTTP is made of), access.py (who may come in), git.py, read/ (what each page
shows), templates/ and render.py (its HTML), site.py (all the pages together), live_desk.py (the same while files
change), app.py (the pages over HTTP, for this machine only), preview.py (the desk beside a preview of the site),
write/ (where entries are written and approved) and agreement/ (two editors' verdicts on the marks).
"""

from limberleaf.desk.site import Desk, desk_files

__all__ = ["Desk", "desk_files"]
