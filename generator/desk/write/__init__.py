"""The editing side of the desk: entries written, posed, compared, approved and published in the browser.

In order: kinds.py (which file is which kind of entry), form/ (fields from the typed models, in the form's words),
words/ (the interface's words), drafts.py (drafts, earlier states, locks), workspace.py (open, save, conflict, take
back), entry_state.py (an entry as it is typed), blanks.py (what its blanks become), entry_findings.py (what the
checks find in it), approval/ (the status of a page, and the two yeses it needs), entry_files.py (new, copy,
translate, retire), renaming.py, posing/ (the figure), patient_page.py (the page as the patient sees it), unset.py
(what is not set on it), start_page.py (drafts and history), publishing.py, api.py (the questions a page asks) and
wire_up.py (all of it together). Scripts and style are in assets/, without a build step or a framework.
"""
