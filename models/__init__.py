"""The records that all rooms speak; no file, clock or network."""
