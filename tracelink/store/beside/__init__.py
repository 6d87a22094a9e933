"""What is kept beside the file of a ledger, so that what happens to the file is noticed."""
