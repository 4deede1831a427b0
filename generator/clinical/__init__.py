"""What a clinician knows about an entry: dose, pain bands, cautions, ladders, review and the placeholders of a page.

Pure functions over typed entries. They say nothing is wrong; that is the checks' work.
"""
