"""What the lab measured, as it is shown."""
