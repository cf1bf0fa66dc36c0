"""Who may decide what, and what became of it."""
