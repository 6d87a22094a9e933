"""`runout browser`: which browsers open stations."""
