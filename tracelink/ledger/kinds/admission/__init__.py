"""Who comes in by a browser."""
