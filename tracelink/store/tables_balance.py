"""Tables of the balances, counts and investigations."""
