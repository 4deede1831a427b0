"""Counts of a text and the measures that follow from them.

In order: counts.py and counting.py (what is counted, and by which rules), formulas.py (as in their papers), measures.py
(each of them for one sample), headline.py (the line an editor reads first) and costs.py (what a sentence adds to it).
"""
