"""What a picture shows and from where: emphasis, camera, things around the body.

emphasis.py (what a figure is about), camera.py, view.py (which view is best), view_checks.py (what it hides),
staging.py (furniture as needed), furniture.py (its shapes), prop_kinds.py, loops.py (bands and straps), parts.py,
body_places.py (places on paper), hull.py (outlines).
"""
