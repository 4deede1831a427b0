"""One file a command. A command reads its options, calls one function of a lower floor, and prints."""
