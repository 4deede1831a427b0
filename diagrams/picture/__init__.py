"""The display list: what a picture is made of, between those who draw it and those who write it."""
