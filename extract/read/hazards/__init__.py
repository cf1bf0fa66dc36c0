"""What can hurt somebody, and how badly."""
