"""From a recording to a transcript to a draft."""
