"""Vouchbook's reading beside plain readers made of general libraries, on walk-throughs and on open data."""
