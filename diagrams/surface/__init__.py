"""The body's surface as one mesh, posed by the solver's frames, and what a camera sees of it in a depth buffer."""
