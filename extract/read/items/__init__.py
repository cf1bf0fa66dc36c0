"""One file for each kind of item."""
