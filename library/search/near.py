"""Near meaning: puts what was found by words into the order of what it means."""

from vouchbook.library.search.encoder import Encoder
from vouchbook.library.search.find import Found

_WORDS_SHARE = 0.3
"""How much the ranking by words still counts beside the likeness of meaning."""


def by_meaning(encoder: Encoder, asked: str, found: Found) -> Found:
    """``found`` in the order of likeness to ``asked``. Nothing comes in that no word, size or filter found."""
    if not found.results:
        return found
    vectors = encoder.vectors([asked[:1000], *(result.snippet.text for result in found.results)])
    likeness = vectors[1:] @ vectors[0]
    best = max(result.score for result in found.results) or 1.0
    scored = [
        (float(alike) + _WORDS_SHARE * result.score / best, result)
        for alike, result in zip(likeness, found.results, strict=True)
    ]
    ordered = sorted(scored, key=lambda pair: -pair[0])
    return found.model_copy(
        update={"results": tuple(result.model_copy(update={"score": round(score, 4)}) for score, result in ordered)}
    )
