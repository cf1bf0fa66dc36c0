"""From a media or caption file to a timed transcript."""
