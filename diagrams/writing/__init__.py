"""A display list as SVG, pixels or a moving picture.

svg.py, raster.py (pixels), motion.py (a moving picture), sheet.py (a contact sheet).
"""
