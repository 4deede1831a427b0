"""The body's surface as one mesh, posed by the solver's frames, and what a camera sees of it in a depth buffer.

pieces.py (the neutral pose), core_pieces.py, limb_pieces.py, hands.py, grids.py (of which they are made), mesh.py (all
as one), carriers.py (what carries it), materials.py, things.py (what is held), buffers.py (depth as seen).
"""
