"""Do the numbers add up: lots by place, labels by fate, numbered editions number by number."""
