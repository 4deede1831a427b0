"""Commands that give a library out.

build.py, serve.py, links.py, handout.py, plan.py.
"""
