"""The guide for those who run a library: task pages in Markdown, every key of every kind and every finding.

explain.py says what a finding means, examples.py shows every key in use; site.py makes all of it as pages. pages/ holds
the Markdown, findings/ the words on findings, examples/ whole entries, guide.css the style.
"""
