"""Whether words look like English. Cheap: a share of words that carry grammar, not meaning."""

from collections.abc import Sequence

MIN_WORDS = 45
"""Fewer words say too little about their language."""
MIN_SHARE = 0.08
"""In 176 walk-throughs in English the share was 0.08 or more of any 45 words; in other languages it was up to 0.05."""
MIN_LETTERS = 120
# Left out: words that are as common in a neighbour ("is", "was", "in", "over", "so", "i", "at", "for", "on", "no").
_GRAMMAR = """
the and of to that you it this with have are not but they there what from your just it's that's don't you're i'm we're
they're he's there's what's can't doesn't isn't won't didn't be been were by or if off up down out then when which
who how here into all some any than them their its our us because would could should does did got get goes going one two
yes
"""
_FUNCTION_WORDS = frozenset(_GRAMMAR.split())


def looks_english(words: Sequence[str], min_words: int = MIN_WORDS) -> bool | None:
    """True or False, or None where there are too few words to tell."""
    bare = [word.lower().replace("\u2019", "'").strip(".,;:!?\"'()[]-\u2026") for word in words]
    bare = [word for word in bare if any(character.isalpha() for character in word)]
    letters = [character for word in bare for character in word if character.isalpha()]
    if len(letters) >= MIN_LETTERS and sum(letter.isascii() for letter in letters) < len(letters) / 2:
        return False  # scripts without spaces give few, long words
    if len(bare) < min_words:
        return None
    return sum(word in _FUNCTION_WORDS for word in bare) >= MIN_SHARE * len(bare)
