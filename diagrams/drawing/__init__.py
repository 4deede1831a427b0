"""A solved pose as lines and fills: body, arrows, marks, insets.

panel.py (one pose and camera), body.py (fills, lines, marks), cracks.py (where lines lie), chains.py (smooth lines),
curves.py (few cubics), features.py (the face), shadow.py (of contact).
"""
