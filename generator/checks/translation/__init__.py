"""Translations against their originals: present, up to date, and stating the same facts."""
