"""The display list: what a picture is made of, between those who draw it and those who write it.

displaylist.py (the list), style.py (colours and line weights), digits.py (numbers as strokes).
"""
