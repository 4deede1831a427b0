"""Approving at the desk: approval_status.py (how a page stands), approve.py (the first yes) and approve_second.py."""
