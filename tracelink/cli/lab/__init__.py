"""Commands of the lab beside its station: which discs to draw."""
