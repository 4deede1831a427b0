"""Commands on figures.

draw.py, pose.py, and figure_shared.py, which finds the figure that both speak of.
"""
