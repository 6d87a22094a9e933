"""Entries of the packing line beyond disc against sleeve."""

from tracelink.ledger.kinds.base import Kind

KINDS: tuple[type[Kind], ...] = ()
"""The kinds of this module, for the registry."""
