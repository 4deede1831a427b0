"""The guide for those who run a library: task pages in Markdown, every key of every kind and every finding.

explain.py says what a finding means; site.py makes all of it as pages. pages/ holds the Markdown, findings/ the words
on findings, guide.css the style.
"""
