"""YAML read with the place of every value, and changed so that all else stays as it was written.

In order: syntax.py (what a parser's complaint means), scalar_places.py (the place of each character of a value),
source.py (a file as node graph, plain values and places), yaml_values.py (values written as YAML) and yaml_edit.py (the
text of a file with other values).
"""
