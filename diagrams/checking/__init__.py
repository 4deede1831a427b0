"""What is wrong with a solved figure, measured on the rounded body alone."""
