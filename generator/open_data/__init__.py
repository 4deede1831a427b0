"""Everything a library says, as data for others: all of it lies under `data/` in the site, at addresses that stay.

In order: model.py (the library as plain typed data, whose JSON Schema is published with it), parts.py (what one entry
gives), fhir.py (HL7 FHIR R4 and R5), tables.py (CSV, search index, plain text, list of texts), feed.py (Atom),
files.py (all files together).

What pages say of themselves in schema.org is in pages/views/page_facts.py. Nothing here is about a
patient, and nothing says more than the pages do: notes, switched-off checks and drafts stay out.
"""
