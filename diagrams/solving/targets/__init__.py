"""What a pose asks for as targets, limits and residual rows of the solver."""
