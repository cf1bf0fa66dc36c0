"""One chunk of sound: what was heard in it, what was dropped, what was not understood."""

from typing import TYPE_CHECKING, Final, TypeVar

from vouchbook.extract.listen.heard import HeardWord
from vouchbook.extract.listen.invented import judged
from vouchbook.extract.listen.media import SAMPLE_RATE, Sound
from vouchbook.extract.listen.unheard import drowned_stretches, unlikely_stretches, wordless_stretches
from vouchbook.extract.listen.windows import FRAME_S, FRAME_SAMPLES, Span, best_cut_s, likely_speech, windows
from vouchbook.models.record import Record
from vouchbook.models.transcript import UnheardStretch

if TYPE_CHECKING:
    from collections.abc import Callable

    from vouchbook.extract.listen.recogniser import Recogniser

Timed = TypeVar("Timed", HeardWord, UnheardStretch)

LOOK_BACK_S: Final = 30.0
"""A chunk is cut at the longest pause of its last seconds."""


class ChunkHearing(Record):
    """What one chunk gave, with seconds from the start of its recording.

    ``samples`` is the length that the chunk took from the recording; ``dropped`` says what was left out and why.
    """

    start_sample: int
    samples: int
    words: tuple[HeardWord, ...]
    unheard: tuple[UnheardStretch, ...]
    dropped: tuple[str, ...]


def hear_chunk(
    sound: Sound, start_sample: int, *, is_last: bool, recogniser: "Recogniser", on_second: "Callable[[float], None]"
) -> ChunkHearing:
    """Hear the start of ``sound`` up to a good place to cut, or all of it if it ``is_last``.

    ``on_second`` is told the seconds of ``sound`` that are done.
    """
    probability = recogniser.speech_probability(sound)
    if not is_last:
        sound_s = sound.size / SAMPLE_RATE
        cut_s = best_cut_s(probability, max(sound_s - LOOK_BACK_S, sound_s / 2))
        probability = probability[: round(cut_s / FRAME_S)]
        sound = sound[: probability.size * FRAME_SAMPLES]
    sound_s = sound.size / SAMPLE_RATE
    spans = [
        Span(start_s=span.start_s, end_s=min(span.end_s, sound_s))
        for span in windows(probability, likely_speech(probability))
        if span.start_s < sound_s
    ]
    segments = recogniser.recognise(sound, spans, lambda span: on_second(span.end_s))
    judgements = [judged(segment, probability, sound_s) for segment in segments]
    words = tuple(word for judgement in judgements for word in judgement.words)
    unheard = [*wordless_stretches(probability, words, sound_s), *drowned_stretches(sound, words)]
    for segment, judgement in zip(segments, judgements, strict=True):
        unheard.extend(unlikely_stretches(segment, judgement.words))
    on_second(sound_s)
    offset_s = start_sample / SAMPLE_RATE
    return ChunkHearing(
        start_sample=start_sample,
        samples=sound.size,
        words=tuple(_later(word, offset_s) for word in words),
        unheard=tuple(_later(stretch, offset_s) for stretch in sorted(unheard, key=lambda each: each.start_s)),
        dropped=tuple(
            f"{segment.span.start_s + offset_s:.1f} s ({judgement.dropped})"
            for segment, judgement in zip(segments, judgements, strict=True)
            if judgement.dropped is not None
        ),
    )


def _later(record: Timed, offset_s: float) -> Timed:
    return record.model_copy(
        update={"start_s": round(record.start_s + offset_s, 3), "end_s": round(record.end_s + offset_s, 3)}
    )
