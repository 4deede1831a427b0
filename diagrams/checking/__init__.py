"""What is wrong with a solved figure, measured on the rounded body alone.

checks.py (a solved pose), statements.py (what came to nothing), posture.py, ranges.py, props.py, captions.py, ladder.py
(steps that ask more), check_words.py (parts in the words of a finding).
"""
