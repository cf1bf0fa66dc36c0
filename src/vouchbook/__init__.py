"""Vouchbook: from the recording of a walk-through to a draft that a reviewer can vouch for."""
