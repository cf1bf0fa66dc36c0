"""Search over everything that was said and decided."""
