"""Where speech is likely, and how to cut sound into windows for the recogniser. Pure functions over probabilities."""

from typing import Final

import numpy as np
import numpy.typing as npt

from vouchbook.models.record import Record

Probabilities = npt.NDArray[np.float32]

FRAME_SAMPLES: Final = 512
"""The voice activity detector gives one probability for each 512 samples (32 ms at 16 kHz)."""
FRAME_S: Final = FRAME_SAMPLES / 16_000

WINDOW_S: Final = 28.0
"""The recogniser reads 30 s at a time; a margin keeps the last word inside."""

SHORTEST_SPEECH_FRAMES: Final = 3
"""About 0.1 s of voice: shorter than any word, longer than the clicks and plucked notes that pass for voice."""


class Span(Record):
    """Seconds from ``start_s`` to ``end_s`` of one recording."""

    start_s: float
    end_s: float

    @property
    def length_s(self) -> float:
        """Seconds between start and end."""
        return self.end_s - self.start_s


def likely_speech(
    probability: Probabilities, threshold: float = 0.5, silence_s: float = 0.5, pad_s: float = 0.3
) -> list[Span]:
    """Spans in which ``probability`` (one value a frame) says speech, in order, not overlapping.

    A span starts at ``threshold`` and ends where the probability stays 0.15 below it for ``silence_s``, the
    hysteresis that the detector's makers use. Each side is padded by ``pad_s`` for soft first and last sounds.
    """
    keep = max(threshold - 0.15, 0.01)
    silence = max(1, round(silence_s / FRAME_S))
    found: list[tuple[int, int]] = []
    start: int | None = None
    last = 0
    for frame, value in enumerate(probability):
        if start is None:
            if value >= threshold:
                start = last = frame
        elif value >= keep:
            last = frame
        elif frame - last >= silence:
            found.append((start, last + 1))
            start = None
    if start is not None:
        found.append((start, last + 1))
    spans = [
        Span(start_s=first * FRAME_S, end_s=end * FRAME_S)
        for first, end in found
        if np.count_nonzero(probability[first:end] >= threshold) >= SHORTEST_SPEECH_FRAMES
    ]
    return _padded(spans, pad_s, len(probability) * FRAME_S)


def windows(
    probability: Probabilities, spans: list[Span], join_s: float = 2.0, window_s: float = WINDOW_S
) -> list[Span]:
    """``spans`` as windows up to ``window_s``: joined over pauses up to ``join_s``, cut where speech is least likely.

    Longer windows give the recogniser more to go by; long pauses inside one tempt it to fill them.
    """
    pieces = [piece for span in spans for piece in _cut(probability, span, window_s)]
    joined: list[Span] = []
    for piece in pieces:
        if joined and piece.start_s - joined[-1].end_s <= join_s and piece.end_s - joined[-1].start_s <= window_s:
            joined[-1] = Span(start_s=joined[-1].start_s, end_s=piece.end_s)
        else:
            joined.append(piece)
    return joined


def best_cut_s(probability: Probabilities, earliest_s: float) -> float:
    """The second after ``earliest_s`` at which sound is best cut: the middle of the longest stretch without speech."""
    first = min(int(earliest_s / FRAME_S), len(probability) - 1)
    silent = probability[first:] < 0.3
    best_length, best_middle, length = 0, None, 0
    for frame, is_silent in enumerate(silent):
        length = length + 1 if is_silent else 0
        if length > best_length:
            best_length, best_middle = length, first + frame - length // 2
    if best_middle is None:
        best_middle = first + int(np.argmin(_smoothed(probability[first:])))
    return best_middle * FRAME_S


def mean_probability(probability: Probabilities, span: Span) -> float:
    """The mean of ``probability`` over ``span``; 0 outside of the sound."""
    part = probability[int(span.start_s / FRAME_S) : int(np.ceil(span.end_s / FRAME_S))]
    return float(part.mean()) if part.size else 0.0


def _padded(spans: list[Span], pad_s: float, end_s: float) -> list[Span]:
    padded: list[Span] = []
    for index, span in enumerate(spans):
        before = padded[-1].end_s if padded else 0.0
        after = spans[index + 1].start_s if index + 1 < len(spans) else end_s
        start_s = max(before, span.start_s - pad_s)
        # A short pause is shared between its neighbours.
        room = after - span.end_s
        end = min(end_s, span.end_s + min(pad_s, room / 2 if index + 1 < len(spans) else room))
        padded.append(Span(start_s=start_s, end_s=end))
    return padded


def _cut(probability: Probabilities, span: Span, window_s: float) -> list[Span]:
    pieces: list[Span] = []
    start_s = span.start_s
    while span.end_s - start_s > window_s:
        first = int((start_s + window_s / 2) / FRAME_S)
        last = int((start_s + window_s) / FRAME_S)
        cut_s = (first + int(np.argmin(_smoothed(probability[first:last])))) * FRAME_S
        pieces.append(Span(start_s=start_s, end_s=cut_s))
        start_s = cut_s
    pieces.append(Span(start_s=start_s, end_s=span.end_s))
    return pieces


def _smoothed(probability: Probabilities, frames: int = 7) -> Probabilities:
    """A running mean over about 0.2 s: the gap between two words, not between two sounds of one."""
    padded = np.pad(probability, frames // 2, mode="edge")
    smooth: Probabilities = np.convolve(padded, np.full(frames, 1 / frames, dtype=np.float32), mode="valid")
    return smooth.astype(np.float32)
