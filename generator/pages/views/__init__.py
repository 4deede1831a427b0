"""What each kind of page shows: view models that the templates print and that handouts and open data read.

In order: sign_view.py (warning signs), record_view.py (who reviewed it, and when), media_view.py (the clinic's own
pictures), exercise_view.py, ladder_view.py, collection_view.py, set_view.py (ready sets), finder_view.py, help_view.py,
prose_view.py, retired_view.py, plan_view.py with plan_data.py (what the plan page's script knows of each exercise) and
page_facts.py (schema.org's words).
"""
