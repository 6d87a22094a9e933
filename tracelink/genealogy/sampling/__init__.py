"""Which strokes of a lot the lab draws, why, and what of it is done."""
