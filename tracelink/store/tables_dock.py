"""Tables of the warehouse and dock."""
