"""The trained tagger: what a small network sees in each word of a talk."""
