"""Commands on figures: draw, pose; figure_shared.py finds the figure that both speak of."""
