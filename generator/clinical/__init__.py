"""What a clinician knows about an entry: dose, pain bands, cautions, ladders, review and the placeholders of a page.

Pure functions over typed entries. They say nothing is wrong; that is the checks' work. In order: text_facts.py (what a
line says that matters), dosage/ (dose, pain bands, usual doses), placeholder_values.py (what a page's blanks become),
drawing.py, pose_facts.py and sides.py (what a figure shows), demand.py and ladders.py (how hard a step is, and what
comes before and after), cautions.py, coverage.py and signs.py (warning signs and who gets which), governance/ (approval
and review) and record.py (measures kept over time).
"""
