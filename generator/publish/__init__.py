"""Publishing: from a library to files, and from files to a folder that people read.

In order: unchanged.py (whether anything changed at all), mkdocs_file.py (what `mkdocs.yml` says), page_cache.py
(pages made again only when an input changed), shares.py and paper.py (pictures for links and sheets as PDF, kept),
compose.py (every file of a site), swap.py (a finished folder put in place), plain.py (a site without MkDocs),
plugin.py (the same pages for MkDocs or ProperDocs) and preview_hosts.py (who may read a preview).
"""
