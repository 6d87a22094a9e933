"""What is told of the assembly hall: faults that tests found, and the pace of its stations."""
