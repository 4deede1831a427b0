"""Rules that mark what makes a text hard, unclear or unkind; each is data with its own examples.

In order: model.py (a rule), inflect.py, senses.py and advice.py (what may stand in place of words, and when),
words.py, wording.py, sentences.py, kinds.py and steps.py (the checks that rules name), run.py.
"""
