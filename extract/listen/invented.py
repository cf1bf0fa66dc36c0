"""Text that the recogniser made up: on silence, noise, music, or by looping. Pure rules over what it gave.

Whisper models write fluent text where nobody speaks (Koenecke et al., "Careless Whisper", 2024). No single score tells
such text from true speech, so each rule here is a fact about speech, or a limit of Whisper's own. What is dropped is
said in the notes, and shown as an unheard stretch wherever a voice may be.
"""

import re
from typing import Final

import numpy as np

from vouchbook.extract.listen.heard import (
    FAILED_COMPRESSION_RATIO,
    FAILED_LOG_PROBABILITY,
    NO_SPEECH,
    HeardSegment,
    HeardWord,
)
from vouchbook.extract.listen.windows import FRAME_S, Probabilities, Span, mean_probability
from vouchbook.models.record import Record

FASTEST_WORDS_PER_S: Final = 8.0
"""Fast conversation runs at about 5 words a second; auctioneers reach 8 (common figures, no single source)."""
HARDLY_A_WORD: Final = 0.15
"""Mean word probability of text that the recogniser does not believe itself; " You" on music had 0.02 and 0.04."""
SHORTEST_RATE_WORDS: Final = 3
"""A rate needs some words to be one."""
PAST_THE_END_S: Final = 0.2
"""Alignment may put the last word a little past its window; words further on were said by nobody."""
VOICED: Final = 0.3
SOFT_ENDS_S: Final = 0.2
SILENT: Final = 0.05
"""Mean voice probability below which nobody spoke during a word and its surroundings."""
WORD_SURROUNDINGS_S: Final = 0.5
"""Word times drift by some tenths of a second."""
LOOP_WORDS: Final = 12
"""Longest phrase that is looked for in a loop."""

_ANNOTATION: Final = re.compile(
    r"\[[^\]]*\] | ♪[^♪]*♪? | \*[^*]+\* | \([^()]*\b(?:"
    r"music|noise|sound|engine|machine|laugh|cough|sigh|applause|beep|bell|static|silence|inaudible|chatter|wind"
    r")\w*\b[^()]*\)",
    re.VERBOSE | re.IGNORECASE,
)
"""Sound described instead of speech written down. Other round brackets stay: they may hold words that were said."""


class Judged(Record):
    """The words of a segment that stand, and why others do not, or None where all stand."""

    words: tuple[HeardWord, ...]
    dropped: str | None = None


def judged(segment: HeardSegment, probability: Probabilities, sound_s: float) -> Judged:
    """What stands of ``segment``, given the voice ``probability`` of each frame and the length of the sound."""
    undescribed = _without_annotations(segment.words)
    end_s = min(sound_s, segment.span.end_s)
    spoken = tuple(word for word in undescribed if _is_word(word) and word.start_s < end_s + PAST_THE_END_S)
    words = _in_order(spoken, end_s)
    if not words:
        return Judged(words=(), dropped="a sound described" if any(map(_is_word, segment.words)) else None)
    mean = sum(word.probability for word in words) / len(words)
    if segment.no_speech_prob > NO_SPEECH and (segment.avg_logprob < FAILED_LOG_PROBABILITY or mean < HARDLY_A_WORD):
        return Judged(words=(), dropped="taken for no speech by the recogniser itself")
    if len(words) >= SHORTEST_RATE_WORDS and len(words) > FASTEST_WORDS_PER_S * _voiced_s(probability, segment.span):
        return Judged(words=(), dropped="more words than can be spoken in that time")
    voiced = tuple(word for word in words if not _is_silent(word, probability))
    unlooped = without_loops(voiced)
    if segment.compression_ratio > FAILED_COMPRESSION_RATIO and len(unlooped) < len(voiced) / 2:
        return Judged(words=(), dropped="the recogniser went in circles")
    reasons = {
        "a sound described": len(undescribed) < len(segment.words),
        "words in silence": len(voiced) < len(words),
        "repeats": len(unlooped) < len(voiced),
    }
    return Judged(words=unlooped, dropped=", ".join(reason for reason, applies in reasons.items() if applies) or None)


def without_loops(words: tuple[HeardWord, ...]) -> tuple[HeardWord, ...]:
    """``words`` without the later turns of a loop: one or two words five times over, longer phrases four times.

    People repeat themselves ("no, no, no"; "turn it, turn it, turn it"), so fewer turns stand as they are.
    """
    plain = [re.sub(r"\W", "", word.text).lower() for word in words]
    kept: list[HeardWord] = []
    index = 0
    while index < len(words):
        size, turns = _loop_at(plain, index)
        if turns:
            kept.extend(words[index : index + size])
            index += size * turns
        else:
            kept.append(words[index])
            index += 1
    return tuple(kept)


def _loop_at(plain: list[str], index: int) -> tuple[int, int]:
    for size in range(1, LOOP_WORDS + 1):
        phrase = plain[index : index + size]
        turns = 1
        while plain[index + size * turns : index + size * (turns + 1)] == phrase:
            turns += 1
        if turns >= (5 if size <= 2 else 4):
            return size, turns
    return 0, 0


def _in_order(words: tuple[HeardWord, ...], end_s: float) -> tuple[HeardWord, ...]:
    """``words`` with starts that never fall and nothing past ``end_s``: alignment slips by hundredths of a second."""
    ordered: list[HeardWord] = []
    earliest_s = 0.0
    for word in words:
        earliest_s = min(max(word.start_s, earliest_s), end_s)
        last_s = min(max(word.end_s, earliest_s), end_s)
        ordered.append(word.model_copy(update={"start_s": earliest_s, "end_s": last_s}))
    return tuple(ordered)


def _voiced_s(probability: Probabilities, span: Span) -> float:
    """Seconds of ``span`` in which a voice is likely, and a little for its soft ends."""
    part = probability[int(span.start_s / FRAME_S) : int(np.ceil(span.end_s / FRAME_S))]
    return float(np.count_nonzero(part >= VOICED)) * FRAME_S + SOFT_ENDS_S


def _is_word(word: HeardWord) -> bool:
    return any(character.isalnum() for character in word.text)


def _is_silent(word: HeardWord, probability: Probabilities) -> bool:
    around = Span(start_s=max(0.0, word.start_s - WORD_SURROUNDINGS_S), end_s=word.end_s + WORD_SURROUNDINGS_S)
    return mean_probability(probability, around) < SILENT


def _without_annotations(words: tuple[HeardWord, ...]) -> tuple[HeardWord, ...]:
    """``words`` without "[Music]", "(engine running)" and the like, which describe sound instead of writing speech."""
    text = " ".join(word.text for word in words)
    hidden = [match.span() for match in _ANNOTATION.finditer(text)]
    kept: list[HeardWord] = []
    place = 0
    for word in words:
        if not any(start <= place and place + len(word.text) <= end + 1 for start, end in hidden):
            kept.append(word)
        place += len(word.text) + 1
    return tuple(kept)
