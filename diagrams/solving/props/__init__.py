"""Where props stand, lie and are held, found from the solved body.

shapes.py (what props are built of), placing.py (a pose as placing reads it), standing.py, walls.py, carried.py, aids.py
(where each kind is).
"""
