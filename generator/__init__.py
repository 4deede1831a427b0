"""Limberleaf: entries are read, checked, drawn, put on pages and published; each room knows only the rooms before it."""
