"""Pages in a browser: an edge room over the public package, without a rule or a query of its own."""
