"""Who works with the library: people, passwords, sessions, tokens."""
