"""Words against words and figure: what an entry says twice it says the same way, and no line contradicts its list."""
