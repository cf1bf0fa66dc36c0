"""Caption files in and out, one format a file."""
