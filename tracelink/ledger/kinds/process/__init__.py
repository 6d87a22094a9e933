"""Kinds of entries of process steps: what is done to tools, discs and material beside pressing them."""
