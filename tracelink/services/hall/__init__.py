"""Questions about the assembly hall."""
