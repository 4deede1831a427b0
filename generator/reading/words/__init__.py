"""The words of a text.

In order: languages.py (which are known), vowels.py and syllables.py, lexicon.py (what is known about a word),
tokens.py, text.py (sentences of words), phrases.py and terms.py (words that belong together, and terms of the trade).
"""
