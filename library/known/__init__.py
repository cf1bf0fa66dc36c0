"""A new draft against what the department knows."""
