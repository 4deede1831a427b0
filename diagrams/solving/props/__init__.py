"""Where props stand, lie and are held, found from the solved body."""
