"""The editing side of the desk: entries written, posed, compared, approved and published in the browser.

In order: kinds.py (which file is which kind of entry), form.py (fields from the typed models), words/ (the
interface's words), keep.py (drafts, earlier states, locks), workspace.py (open, save, conflict, take back), look.py
(what there is to say while one types), entries.py (new, copy, translate, rename, retire), pose.py (the figure),
approve.py, patient_page.py (the page as the patient sees it), house.py (the first page, git, publishing), door.py
(who may come in), api.py (the questions a page asks), rooms.py (all of it together). Scripts and style are in
assets/, without a build step or a framework.
"""
