"""Scans that are booked again, to compare what they lead to with what is recorded."""
