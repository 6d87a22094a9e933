"""Packing on while the ledger is away."""
