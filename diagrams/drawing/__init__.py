"""A solved pose as lines and fills: body, arrows, marks, insets."""
