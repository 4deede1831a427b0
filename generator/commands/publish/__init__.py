"""Commands that give a library out: build, serve, links, handout, plan."""
