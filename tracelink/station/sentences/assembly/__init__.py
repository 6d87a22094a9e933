"""What the assembly stations say."""
