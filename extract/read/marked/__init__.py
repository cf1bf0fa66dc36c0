"""Items from the marks of the trained tagger, weighed together with those of the rules."""
