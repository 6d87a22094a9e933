"""Who comes in: sign-in, sessions, browsers that open stations, and what is kept out."""
