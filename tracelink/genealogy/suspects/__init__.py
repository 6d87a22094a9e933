"""Which strokes are suspect: what comes from a cause, and what judged discs prove or clear; nothing is followed yet."""
