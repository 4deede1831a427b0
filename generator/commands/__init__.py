"""A file a command, in rooms by what it is for. A command reads its options, calls a lower room, and prints.

entries/ (init, new, import, table, translate, schema), figures/ (draw, pose), review/ (check, review, ask), publish/
(build, serve, links, handout, plan), and beside them desk.py, doctor.py and guide.py. shared.py has the options that
several take, examples.py what each shows of itself at the end of its help.
"""
