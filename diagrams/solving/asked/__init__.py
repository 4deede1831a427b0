"""What a pose asks for: target angles, frozen angles, contacts, directions, as the author's words give them.

state.py (what one pose asks for), pose.py (an author's words as that), let_go.py (contacts that are let go).
"""
