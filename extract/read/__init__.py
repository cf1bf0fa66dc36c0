"""From a transcript to a draft: pure, the same bytes out for the same transcript in."""
