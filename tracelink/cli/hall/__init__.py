"""Commands of the assembly hall."""
