"""From what an author wrote to a body that does it: targets, contacts, props, least squares.

solve.py (the order of work), asked/ (what a pose asks for), targets/ (that as rows), algebra/ (the sums), touching/
(contacts), props/ (where things stand), interpolate.py (between two poses), mirror.py (the other side), solved.py
(the results), settings.py (weights and tolerances).
"""
