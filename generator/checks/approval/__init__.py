"""Who approved what and when, and whether it is still what was approved."""
