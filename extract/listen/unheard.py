"""Stretches in which somebody may have spoken and no words, or only unlikely ones, came out.

Noise can swallow talk without a trace: the recogniser then gives nothing, and a missing warning looks like silence.
The voice activity detector still hears most of such talk. Measured with 24 s of read speech in 30 noises (10 made, 17
recorded machines, fires, mines and a market, 3 pieces of music), the running mean of its probability over a second
passes 0.15 in all of the speech at 5 dB, in 92 to 100 % at 0 dB and in 87 % (0 to 100) at -5 dB. Of the same noises
without speech only the market, which has voices in it, passes it, with 0.19; machines reach 0.07, music 0.15. Syllabic
modulation of the loudness was not needed beside that.

A second try was measured and left out: light spectral gating before the recogniser, a lower detector threshold (0.25),
the more probable of two results kept. With base and the same speech in 7 of the noises, it left the word error rate at
15 % at 5 dB and took it from 39 to 36 % at 0 dB (14 of 497 words), for twice the time; at -5 dB nothing helped.
Stronger gating made it worse (14 to 19 % in 8 noises at 5 dB).
"""

from typing import Final

import numpy as np

from vouchbook.extract.listen.heard import FAILED_COMPRESSION_RATIO, FAILED_LOG_PROBABILITY, HeardSegment, HeardWord
from vouchbook.extract.listen.lines import lines
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound
from vouchbook.extract.listen.windows import FRAME_S, FRAME_SAMPLES, Probabilities, Span
from vouchbook.models.transcript import UnheardStretch

FAINT_VOICE: Final = 0.15
"""Running mean of the voice probability from which somebody may be speaking."""
FAINT_VOICE_S: Final = 1.0
"""Seconds of that running mean: a few syllables, so that a single knock does not count."""
SHORTEST_S: Final = 1.5
"""Shorter stretches are breaths, coughs and the ends of words."""
SHORTEST_VOICE_S: Final = 0.6
"""Seconds of voice (the sum of the probability) that a stretch without words must hold."""
REACH_S: Final = 0.7
"""How far a word counts for the sound around it: word times drift, and pauses between words are shorter."""

LOUD_S: Final = 2.5
"""Seconds without a word that a loud sound must last: talk pauses shorter than that."""
LOUD_BELOW_TALK_DB: Final = 3.0
"""How far below the level of the talk a sound may lie and still be able to drown it."""
LOUD_SHARE: Final = 0.6
"""Share of a stretch that must be that loud; a single bang is none."""
FEWEST_WORDS: Final = 10
"""Without some talk there is no level to compare with."""

UNLIKELY_LINE: Final = 0.6
"""Mean word probability of a line below which its words are more often wrong than right: 41 % of words right in the 38
lines below it that both models gave for the speech above at 10, 5 and 0 dB, 62 % from 0.6 to 0.7, 97 % above 0.9."""
UNLIKELY_WORDS: Final = 3
"""A mean needs some words; single doubtful words are for the reader of the transcript to ask about."""


def wordless_stretches(
    probability: Probabilities, words: tuple[HeardWord, ...], sound_s: float
) -> list[UnheardStretch]:
    """Stretches that may hold speech, by the voice ``probability`` of each frame, and none of ``words``, in order."""
    left = _possible_speech(probability)
    for word in words:
        left = _without(left, word.start_s - REACH_S, word.end_s + REACH_S)
    return [
        UnheardStretch(start_s=span.start_s, end_s=min(span.end_s, sound_s), reason="no words")
        for span in left
        if span.length_s >= SHORTEST_S and _voice_s(probability, span) >= SHORTEST_VOICE_S and span.start_s < sound_s
    ]


def drowned_stretches(sound: Sound, words: tuple[HeardWord, ...]) -> list[UnheardStretch]:
    """Stretches without words in which something was as loud as the talk around: a compressor drowns a warning whole.

    ``sound`` is mono float32 at 16 kHz, ``words`` those heard in it. The voice detector hears no voice there, and
    neither would a listener be sure; so it is shown. Steady noise below the talk, and silence, are not.
    """
    if len(words) < FEWEST_WORDS or sound.size < FRAME_SAMPLES:
        return []
    sound_s = sound.size / SAMPLE_RATE
    frames = sound[: sound.size // FRAME_SAMPLES * FRAME_SAMPLES].reshape(-1, FRAME_SAMPLES)
    level_db = 10 * np.log10(np.mean(np.square(frames, dtype=np.float32), axis=1) + 1e-10)
    worded = np.zeros(level_db.size, dtype=bool)
    for word in words:
        worded[round(word.start_s / FRAME_S) : round(word.end_s / FRAME_S) + 1] = True
    loud = level_db >= float(np.median(level_db[worded])) - LOUD_BELOW_TALK_DB
    left = [Span(start_s=0, end_s=sound_s)]
    for word in words:
        left = _without(left, word.start_s, word.end_s)
    return [
        UnheardStretch(start_s=span.start_s, end_s=span.end_s, reason="no words")
        for span in left
        if span.length_s >= LOUD_S
        and loud[round(span.start_s / FRAME_S) : round(span.end_s / FRAME_S)].mean() >= LOUD_SHARE
    ]


def unlikely_stretches(segment: HeardSegment, words: tuple[HeardWord, ...]) -> list[UnheardStretch]:
    """The lines of ``words``, all from ``segment``, that the recogniser itself hardly believes, in order."""
    failed = segment.avg_logprob < FAILED_LOG_PROBABILITY or segment.compression_ratio > FAILED_COMPRESSION_RATIO
    found: list[UnheardStretch] = []
    for line in lines(words):
        mean = sum(word.probability for word in line) / len(line)
        if failed or (len(line) >= UNLIKELY_WORDS and mean < UNLIKELY_LINE):
            end_s = max(word.end_s for word in line)
            found.append(UnheardStretch(start_s=line[0].start_s, end_s=end_s, reason="unlikely words"))
    return found


def _possible_speech(probability: Probabilities) -> list[Span]:
    width = round(FAINT_VOICE_S / FRAME_S)
    if probability.size == 0:
        return []
    padded = np.pad(probability, (width // 2, width - 1 - width // 2))
    running = np.convolve(padded, np.full(width, 1 / width), mode="valid")
    edges = np.flatnonzero(np.diff(np.concatenate(([False], running >= FAINT_VOICE, [False])).astype(np.int8)))
    return [Span(start_s=start * FRAME_S, end_s=end * FRAME_S) for start, end in edges.reshape(-1, 2)]


def _voice_s(probability: Probabilities, span: Span) -> float:
    part = probability[round(span.start_s / FRAME_S) : round(span.end_s / FRAME_S)]
    return float(part.sum()) * FRAME_S


def _without(spans: list[Span], start_s: float, end_s: float) -> list[Span]:
    left: list[Span] = []
    for span in spans:
        if end_s <= span.start_s or start_s >= span.end_s:
            left.append(span)
            continue
        if start_s > span.start_s:
            left.append(Span(start_s=span.start_s, end_s=start_s))
        if end_s < span.end_s:
            left.append(Span(start_s=end_s, end_s=span.end_s))
    return left
