"""What belongs to products, orders, customers and part numbers."""
