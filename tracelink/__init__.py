"""Traceability and reconciliation ledger for a plant that presses records; users see the command `runout`."""
