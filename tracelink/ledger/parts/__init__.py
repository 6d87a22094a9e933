"""Closed sets and arithmetic of the assembly hall."""
