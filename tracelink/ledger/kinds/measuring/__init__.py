"""Entries of what the lab measures, with what, and what it found."""
