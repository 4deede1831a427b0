"""Commands that begin a library and bring entries in and out.

init.py, new.py, import_handout.py (`import`), table.py, translate.py, schema.py.
"""
