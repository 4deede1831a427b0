"""What a pose asks for as targets, limits and residual rows of the solver.

rows.py (the targets of a pose), setup.py (where the solver starts), with_props.py (contacts that props bring),
keep_apart.py (out of props, and in balance).
"""
