"""Vocabularies of the trade as data files."""
