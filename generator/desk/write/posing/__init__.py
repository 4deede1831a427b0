"""Posing a figure from the screen.

In order: choices.py (what is chosen from), joints.py (sliders), handles.py (what can be dragged), shown.py (a figure
solved and drawn, with its findings and their ways out), dragging.py (a drag written as angles or a contact) and
questions.py (all of it, as a page asks for it).
"""
