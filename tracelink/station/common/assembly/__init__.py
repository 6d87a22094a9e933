"""Queries and facts of the assembly stations."""
