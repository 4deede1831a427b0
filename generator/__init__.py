"""Limberleaf: entries are read, checked, drawn, put on pages and published.

Each room knows only the rooms before it; DEVELOPERS.md draws the house.
"""
