"""Publishing: from a library to files, and from files to a folder that people read.

`compose.py` makes every file of a site; `swap.py` puts a finished folder in place; `plain.py` writes a site
without MkDocs; `plugin.py` hands the same pages to MkDocs or ProperDocs.
"""
