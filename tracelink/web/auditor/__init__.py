"""The desk for auditors: it only reads the ledger."""
