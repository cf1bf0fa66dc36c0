"""Who speaks when, as voice A, B, ... in the order in which they are first heard. Names are for people to give.

The number of voices is given, never guessed: the likeness of one voice to itself and of two voices to each other
overlap in noise. What is heard here is a help for reading, not a proof of who said something.
"""

from collections.abc import Callable, Iterable, Sequence
from string import ascii_uppercase
from typing import Final

import numpy as np

from vouchbook.extract.listen.progress import Progress, ProgressClock
from vouchbook.extract.listen.voice_groups import voice_centres
from vouchbook.extract.listen.voice_network import Floats
from vouchbook.extract.listen.voice_windows import WINDOW_S, Span, Window, embedded, spans_of, windows_of
from vouchbook.models.errors import SettingError
from vouchbook.models.transcript import Transcript, Word

MOST_VOICES: Final = 8
_FULL_SHARE: Final = 0.6
"""Windows with less speech of their own hold too much of somebody else's to tell what a voice is like."""

# Likeness to the right voice is about 0.3 above that to a wrong one, so each clear word weighs about 3. A change of
# voice must outweigh this: inside a line it takes more than two words, between lines almost nothing.
_LIKENESS_WEIGHT: Final = 10.0
_CHANGE_IN_LINE: Final = 7.0
_CHANGE_AT_PAUSE: Final = 2.0
_CHANGE_AT_LINE: Final = 0.5
_PAUSE_S: Final = 0.3


def with_voices(
    transcript: Transcript,
    blocks: Iterable[Floats],
    count: int,
    on_progress: Callable[[Progress], None] | None = None,
) -> Transcript:
    """``transcript`` with each word's voice, "A" to at most "H"; voices that it held before are replaced.

    ``blocks`` is the sound of the transcript's clock from second 0: mono float32 at 16 kHz, in pieces of any length,
    taken once and in order. ``count`` is how many people speak. Memory does not grow with the sound, but for 1 kB
    each 0.8 s of speech. ``notes`` says when fewer voices could be told apart than were asked for.

    Raises:
        SettingError: ``count`` is not from 1 to 8.
    """
    if not 1 <= count <= MOST_VOICES:
        raise SettingError(f"{count} voices: cannot be told apart. Give a number from 1 to {MOST_VOICES}.")
    if not transcript.words:
        return transcript
    if count == 1:
        return _marked(transcript, [0] * len(transcript.words), ())
    spans = spans_of(transcript)
    clock = ProgressClock([transcript.duration_s], on_progress)
    heard = list(embedded(windows_of(spans), blocks, clock.heard))
    if not heard:
        return _marked(transcript, [0] * len(transcript.words), (_short_of(count, 1),))
    vectors = np.stack([vector for _, vector in heard])
    full = np.array([window.share >= _FULL_SHARE for window, _ in heard])
    centres = voice_centres(vectors[full] if np.count_nonzero(full) >= 3 * count else vectors, count)
    likeness = _likeness_of_words(transcript, spans, [window for window, _ in heard], vectors @ centres.T)
    voices = smoothest(likeness, change_costs(transcript))
    found = len(set(voices))
    return _marked(transcript, voices, (_short_of(count, found),) if found < count else ())


def _short_of(count: int, found: int) -> str:
    return f"{count} voices were asked for, {found} could be told apart."


def _likeness_of_words(
    transcript: Transcript, spans: Sequence[Span], windows: Sequence[Window], likeness: Floats
) -> Floats:
    """Likeness of each word to each voice, shape (words, voices), from the windows of its span, near ones first.

    Words whose span has no sound get zeros: they go with the words beside them.
    """
    of_span: list[list[int]] = [[] for _ in spans]
    for index, window in enumerate(windows):
        of_span[window.span].append(index)
    result = np.zeros((len(transcript.words), likeness.shape[1]), dtype=np.float32)
    for span, indices in zip(spans, of_span, strict=True):
        if not indices:
            continue
        middles = np.array([windows[index].start_s + WINDOW_S / 2 for index in indices])
        for word in range(span.first_word, span.last_word + 1):
            said = transcript.words[word]
            distance = np.abs(middles - (said.start_s + said.end_s) / 2)
            weights = np.maximum(1 - distance / WINDOW_S, 0.001)
            result[word] = weights @ likeness[indices] / weights.sum()
    return result


def change_costs(transcript: Transcript) -> list[float]:
    """What a change of voice before each word costs."""
    costs = [_CHANGE_IN_LINE] * len(transcript.words)
    for index in range(1, len(costs)):
        if transcript.words[index].start_s - transcript.words[index - 1].end_s >= _PAUSE_S:
            costs[index] = _CHANGE_AT_PAUSE
    for line in transcript.lines:
        costs[line.first_word] = _CHANGE_AT_LINE
    return costs


def smoothest(likeness: Floats, costs: Sequence[float]) -> list[int]:
    """The voices of all words with the most likeness less the cost of changes (Viterbi 1967)."""
    scores = likeness * _LIKENESS_WEIGHT
    best = scores[0].astype(np.float64)
    came_from = np.empty(likeness.shape, dtype=np.int64)
    for index in range(1, len(scores)):
        leader = int(np.argmax(best))
        changed = best < best[leader] - costs[index]
        came_from[index] = np.where(changed, leader, np.arange(best.size))
        best = np.maximum(best, best[leader] - costs[index]) + scores[index]
    voices = [int(np.argmax(best))]
    for index in range(len(scores) - 1, 0, -1):
        voices.append(int(came_from[index, voices[-1]]))
    return voices[::-1]


def _marked(transcript: Transcript, voices: Sequence[int], notes: tuple[str, ...]) -> Transcript:
    letters: dict[int, str] = {}
    words: list[Word] = []
    for word, voice in zip(transcript.words, voices, strict=True):
        letter = letters.setdefault(voice, ascii_uppercase[len(letters)])
        words.append(word.model_copy(update={"voice": letter}))
    return transcript.model_copy(update={"words": tuple(words), "notes": (*transcript.notes, *notes)})
