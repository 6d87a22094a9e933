"""Control charts: their limits, their run rules, and what they are made of."""
