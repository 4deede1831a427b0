"""Commands that begin a library and bring entries in and out: init, new, import, table, translate, schema."""
