"""A display list as SVG, pixels or a moving picture."""
