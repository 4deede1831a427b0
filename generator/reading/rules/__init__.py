"""Rules that mark what makes a text hard, unclear or unkind; each is data with its own examples."""
