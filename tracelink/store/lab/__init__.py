"""What the lab measured, as the records have it."""
