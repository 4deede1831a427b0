"""The keys of every kind of file in a content folder, as pydantic models; their descriptions are the authors' guide.

In order: values.py (numbers, ranges and times as they are written), record.py (review and sources), exercise.py,
groups.py (ladders, collections, cautions), group_words.py (their translations), clinic.py (`clinic.yml`), face.py,
media.py and plans.py.
"""
