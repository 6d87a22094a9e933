"""What is told at the bench of the lab of values, limits, gauges and judgements."""
