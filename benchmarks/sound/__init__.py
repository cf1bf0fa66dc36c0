"""Talks made audible with synthetic voices and noise, and what is lost on the way back to words."""
