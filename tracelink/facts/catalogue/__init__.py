"""Products, orders, customers and part numbers with what belongs to each."""
