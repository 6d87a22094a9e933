"""Entries of balances: physical counts and investigations."""

from tracelink.ledger.kinds.base import Kind

KINDS: tuple[type[Kind], ...] = ()
"""The kinds of this module, for the registry."""
