"""Whether people see in a figure what is meant: pictures to show, a form, two raters, and what came out, kept.

In order: shown.py (which figures, on which side, in which order), papers.py (picture sheets and the form to print),
answers.py (the tables that people fill in), score.py (categories, agreement, shares), kept.py (`asked.csv`).

The method follows the comprehension test of ISO 9186-1 as far as its makers remember it: people who do not know the
figures say in their own words what they see, and two raters sort each answer.
"""
