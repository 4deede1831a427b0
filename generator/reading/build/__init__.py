"""Scripts that build the tables in `generator/reading/data`; never imported by the engine."""
