"""The guide for those who run a library: task pages in Markdown and every key of every kind, as text and as a site.

site.py makes both; pages/ holds the Markdown, guide.css the style.
"""
