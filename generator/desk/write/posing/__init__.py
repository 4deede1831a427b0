"""Posing a figure from the screen.

In order: joints.py (sliders), saying.py (contacts and ways out in the page's words), choices.py (what is chosen from),
handles.py (what can be dragged), shown.py (a figure solved and drawn, with findings and their ways out), dragging.py
(a drag written as angles or a contact) and questions.py (all of it, as a page asks for it).
"""
