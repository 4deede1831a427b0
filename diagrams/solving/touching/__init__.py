"""Where parts of the body and things are, and what touches what."""
