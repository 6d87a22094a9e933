"""How many discs to look at, how many of them may be bad, and which they are."""
