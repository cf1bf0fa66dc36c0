"""Files that arrive in parts."""
