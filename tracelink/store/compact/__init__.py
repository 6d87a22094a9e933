"""How entries and raw scans are stored: in a few bytes, out of which their canonical bytes come again."""
