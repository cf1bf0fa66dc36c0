"""The commands; no rules of their own."""
