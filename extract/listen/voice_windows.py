"""Windows of sound where words are, cut out of a stream and embedded; only one block and one batch are held."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

import numpy as np

from vouchbook.extract.listen.voice_network import MARGIN, SAMPLE_RATE, WINDOW, Floats, VoiceNetwork, mel_bands
from vouchbook.models.record import Record
from vouchbook.models.transcript import Transcript

WINDOW_S: Final = WINDOW / SAMPLE_RATE
_STEP_S: Final = 0.8
_PAUSE_S: Final = 0.5
"""A longer pause inside a line ends a span: who speaks after it may be somebody else."""
_BATCH: Final = 64
_SILENCE: Final = 10 ** (-70 / 20)
"""Below -70 dBFS there is no voice in any recording."""


class Span(Record):
    """Words ``first_word`` to ``last_word``, both included, said without a long pause."""

    first_word: int
    last_word: int
    start_s: float
    end_s: float


class Window(Record):
    """1.6 s of sound from ``start_s``, for the span with index ``span``. ``share`` of it is that span's speech."""

    span: int
    start_s: float
    share: float


def spans_of(transcript: Transcript) -> list[Span]:
    """The transcript's words in stretches that lie in one line and hold no pause over 0.5 s."""
    spans = []
    for line in transcript.lines:
        first = line.first_word
        for index in range(line.first_word, line.last_word + 1):
            word = transcript.words[index]
            last = index == line.last_word
            if last or transcript.words[index + 1].start_s - word.end_s > _PAUSE_S:
                words = transcript.words[first : index + 1]
                end_s = max(said.end_s for said in words)
                spans.append(Span(first_word=first, last_word=index, start_s=words[0].start_s, end_s=end_s))
                first = index + 1
    return spans


def windows_of(spans: Sequence[Span]) -> list[Window]:
    """Windows every 0.8 s or closer over each span, in the order of their starts; one round a shorter span."""
    windows = []
    for number, span in enumerate(spans):
        length_s = span.end_s - span.start_s
        if length_s <= WINDOW_S:
            start_s = (span.start_s + span.end_s - WINDOW_S) / 2
            windows.append(Window(span=number, start_s=start_s, share=length_s / WINDOW_S))
            continue
        count = 1 + int(np.ceil((length_s - WINDOW_S) / _STEP_S))
        starts_s = np.linspace(span.start_s, span.end_s - WINDOW_S, count)
        windows.extend(Window(span=number, start_s=float(start_s), share=1.0) for start_s in starts_s)
    return sorted(windows, key=lambda window: window.start_s)


def embedded(
    windows: Sequence[Window], blocks: Iterable[Floats], heard: Callable[[float], None]
) -> Iterator[tuple[Window, Floats]]:
    """Each window that holds sound, with its unit vector. ``heard`` is told how many seconds have gone by."""
    network = VoiceNetwork()
    batch: list[tuple[Window, Floats]] = []
    for window, sound in _cut_out(windows, blocks, heard):
        if float(np.sqrt(np.mean(np.square(sound, dtype=np.float64)))) < _SILENCE:
            continue
        batch.append((window, mel_bands(sound)))
        if len(batch) == _BATCH:
            yield from _embedded_batch(network, batch)
            batch = []
    if batch:
        yield from _embedded_batch(network, batch)


def _embedded_batch(network: VoiceNetwork, batch: list[tuple[Window, Floats]]) -> Iterator[tuple[Window, Floats]]:
    vectors = network.embed(np.stack([mels for _, mels in batch]))
    yield from ((window, vector) for (window, _), vector in zip(batch, vectors, strict=True))


def _cut_out(
    windows: Sequence[Window], blocks: Iterable[Floats], heard: Callable[[float], None]
) -> Iterator[tuple[Window, Floats]]:
    """The samples of each window with its margins; silence is put before the first sample and after the last one."""
    held = np.zeros(WINDOW + 2 * MARGIN, dtype=np.float32)
    held_from = -held.size
    """Index in the recording of the first sample held."""
    waiting = iter(windows)
    window = next(waiting, None)
    for block in blocks:
        held = np.concatenate([held, block])
        while window is not None and _first_sample(window) + WINDOW + 2 * MARGIN <= held_from + held.size:
            yield window, _piece(held, held_from, window)
            window = next(waiting, None)
        heard((held_from + held.size) / SAMPLE_RATE)
        if window is None:
            return
        gone = min(max(_first_sample(window) - held_from, 0), held.size)
        held, held_from = held[gone:], held_from + gone
    end = held_from + held.size
    held = np.concatenate([held, np.zeros(WINDOW + 2 * MARGIN, dtype=np.float32)])
    while window is not None and _first_sample(window) + MARGIN < end:
        yield window, _piece(held, held_from, window)
        window = next(waiting, None)


def _first_sample(window: Window) -> int:
    return max(round(window.start_s * SAMPLE_RATE), -WINDOW) - MARGIN


def _piece(held: Floats, held_from: int, window: Window) -> Floats:
    first = _first_sample(window) - held_from
    return held[first : first + WINDOW + 2 * MARGIN]
