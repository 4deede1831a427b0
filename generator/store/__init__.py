"""The build graph: what each product was made from, and the values kept between builds.

Every product (a parsed entry, a figure, a page) is kept under a hash of its inputs and of the code and data that made
it. `keys.py` owns those hashes, `stamps.py` the files that need not be hashed again; `trace.py` notes what a product
reads while it is made; `results.py` is the one store, `kept.py` keeps results by name in it, `data.py` the values of
data files, and `nodes.py` what is found item by item.
"""

from limberleaf.store.keys import code_key, content_key, text_key
from limberleaf.store.results import FILE, FOLDER, Store, StoredText, store_beside

__all__ = ["FILE", "FOLDER", "Store", "StoredText", "code_key", "content_key", "store_beside", "text_key"]
