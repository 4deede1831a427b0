"""Bodies, poses, props, views and pictures: a pose in clinical words becomes a drawing.

The way through: `spec.FigureSpec` reads what an author wrote, `solve.solve_figure` finds a body that does it,
`draw.draw_figure` chooses a view and makes display lists, and a `Drawing` writes them as SVG, PNG or a moving
picture; `describe` says the same in words. `figure` does all of it in one call.
"""
