"""Facts about the ledger itself: copies, backups, health."""
