"""The journal of every change, each entry bound to the one before."""
