"""The figure in words: the alternative text."""
