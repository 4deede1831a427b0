"""Cautions, warning signs and unsafe words: what a page must warn of, and what none may say."""
