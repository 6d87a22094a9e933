"""The kinds of journal entries: one frozen dataclass each, with what it does to the tables.

To add a kind, write a dataclass in the module of its work area, give it `kind` and `changes`, and list it
in `registry.py`. Bodies hold all that the projection needs, because a projection reads no tables.
"""
