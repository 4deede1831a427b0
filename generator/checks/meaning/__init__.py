"""Words against words and figure: what an entry says twice it says the same way, and no line contradicts its list.

In order: overlap.py (how much two lines share), lines.py (each line is what its list needs), situation.py (tags,
region, working side), sides.py, facts.py, agreement.py, drawn_sides.py, movement.py, straight.py and placing.py
(words against the figure), steps.py (steps against dose and equipment), said_numbers.py (numbers in words),
ladder_words.py (rules of ladders), ladder_numbers.py (amounts in ladders).
"""
