"""Kinds of entries of the assembly hall: parts, reels, what machines placed, and units."""
