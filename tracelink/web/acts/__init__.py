"""Acts of people at the desk: one form each, signed with a PIN."""
