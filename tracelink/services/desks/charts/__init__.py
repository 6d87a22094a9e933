"""Charts of what the lab measured, their baselines, and capability."""
